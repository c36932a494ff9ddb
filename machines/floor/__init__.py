"""The shop in use: open with a teacher present, runs at the machines, waiting lists, and the closing list."""
