"""A student's own pages: My machines, with the next step on each."""
