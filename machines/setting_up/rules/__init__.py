"""Rules of setting up, without Django: starter shops, the graph of requirements, what a change would do."""
