"""What helps someone to read: how pages look, and the accommodations of a student."""
