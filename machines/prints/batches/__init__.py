"""Print batches: many sheets in one file, made in the background."""
