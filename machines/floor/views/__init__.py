"""The pages of the shop in use: `floor`, `shops`, `runs`, `waiting`, `closing`, `settings` and `supervising`."""
