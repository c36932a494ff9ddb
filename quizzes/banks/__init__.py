"""Question banks: their text, files, drafts, editions, pictures and editor."""
