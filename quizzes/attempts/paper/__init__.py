"""Quizzes on paper: the sheet, its key, and the answers a teacher enters from it."""
