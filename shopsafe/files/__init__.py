"""Files that the program writes, and archives that it is sent."""
