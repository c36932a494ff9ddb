"""A working server is killed over and over: what it acknowledged stands, once, and nothing is half there."""
