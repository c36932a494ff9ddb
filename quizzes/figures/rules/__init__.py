"""The rules of figures: what attempts tell about questions and rules, in plain Python and numpy."""
