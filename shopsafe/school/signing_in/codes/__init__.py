"""Wrong codes and the devices they come from; the code of a new installation, and the check word of the day."""
