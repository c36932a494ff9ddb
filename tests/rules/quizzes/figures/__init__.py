"""The figures: item analysis, the Rasch scale, flags, certainty, and what an attempt adds to them."""
