"""What the pages of the shop in use show, put together from its rows and its rules."""
