"""Signing in: sign-in codes, passwords, sessions, and the word that tells a teacher who is there."""
