"""Signing in: slip codes, passwords, sessions, and the word that tells a teacher who stands there."""
