"""Sign-offs at the machine, and the page of one machine."""
