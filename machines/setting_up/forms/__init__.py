"""The forms in which a shop is set up."""
