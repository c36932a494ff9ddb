"""The pages of holds, by actor."""
