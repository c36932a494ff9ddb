"""Acts about students and staff: each one transaction with its logbook entry."""
