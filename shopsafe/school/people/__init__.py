"""The students and the staff of a school."""
