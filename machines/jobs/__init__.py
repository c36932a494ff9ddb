"""What the jobs of the night do, and the process that runs them."""
