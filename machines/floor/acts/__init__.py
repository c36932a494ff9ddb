"""The acts of the shop in use: `shops`, `closing`, `runs`, `helpers`, `waiting`, `supervising` and `settings`."""
