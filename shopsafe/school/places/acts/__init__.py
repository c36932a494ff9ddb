"""Acts that found a school and set up its places: each one transaction with its logbook entry."""
