"""Near misses, incidents and misuse: written up in two minutes, completed later, handed over, and learned from."""
