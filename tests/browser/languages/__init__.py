"""The pages of every day in the two pseudo-languages."""
