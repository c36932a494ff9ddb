"""The evidence file of one student, as data and as sheets."""
