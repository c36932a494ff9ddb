"""The machine pages and the sign-off pages."""
