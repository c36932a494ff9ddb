"""Acts: each changes the database once, in one transaction, with its logbook entry."""
