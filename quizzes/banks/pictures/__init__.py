"""The pictures of banks: checking a file, serving it, drawing a place question again."""
