"""The rules of the shop in use: `presence`, `starts`, `tiles`, `waiting`, `closing` and `runs`."""
