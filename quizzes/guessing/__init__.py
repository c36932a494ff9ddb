"""Guessing: how likely a perfect attempt is for a student who does not know the rules. Rules, without Django."""
