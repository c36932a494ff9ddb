"""The rows that the logbook accounts for, one file a room; `records` names them all."""
