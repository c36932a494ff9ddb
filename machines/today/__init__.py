"""The page a teacher opens first."""
