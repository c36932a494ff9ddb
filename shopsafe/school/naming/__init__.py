"""How people are named: short forms, order, and students with the same name."""
