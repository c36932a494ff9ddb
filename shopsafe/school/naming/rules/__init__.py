"""Rules of naming, without Django: short forms, keys, order."""
