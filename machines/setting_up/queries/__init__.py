"""What the pages of setting up show."""
