"""What was recorded and how long it is kept: logbook pages, retention, erasure."""
