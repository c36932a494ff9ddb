"""The pages of attempts, by actor."""
