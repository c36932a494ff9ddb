"""What helps somebody to read: how pages look, and the accommodations of a student."""
