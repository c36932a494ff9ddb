"""Setting a shop up: machine types, machines, requirements, and the first steps in a new installation."""
