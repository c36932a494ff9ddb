"""What each sheet says, loaded from the records."""
