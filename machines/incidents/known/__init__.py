"""What the records said at the moment of an incident, from each room that knows something."""
