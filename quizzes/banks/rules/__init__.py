"""Rules of banks, without Django: data in and out, checks, edits, differences, own numbers."""
