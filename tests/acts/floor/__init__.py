"""The acts of the shop in use."""
