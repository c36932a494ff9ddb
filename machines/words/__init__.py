"""How the entries of machines read in the logbook."""
