"""What every bank of the shelf must be before a teacher sees it: one parameter a file, so that a failure names it."""
