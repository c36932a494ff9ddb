"""Attempts at a quiz, on a screen and on paper: start, answer, hand in, result."""
