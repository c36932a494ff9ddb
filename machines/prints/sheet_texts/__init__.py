"""A shop's own text on its safety agreement and substitute sheet."""
