"""Rules of relearning, without Django: the next attempt, and recalling a covered word."""
