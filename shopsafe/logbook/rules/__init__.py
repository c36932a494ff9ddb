"""Rules of the logbook, without Django: the chain, the tree, subjects, outlines."""
