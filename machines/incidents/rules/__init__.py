"""The rules of reports: what is missing, and how the facts of the moment read."""
