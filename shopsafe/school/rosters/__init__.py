"""Class lists: a file or pasted text, previewed row by row, then imported."""
