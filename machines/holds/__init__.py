"""Holds: a teacher stops a student's use of some machines or of all, and lifts the hold."""
