"""Acts of setting up: each changes the database once, in one transaction, with its logbook entry."""
