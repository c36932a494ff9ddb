"""Rules of prints, without Django: whether a posted sheet is still true, and which rules are unapproved."""
