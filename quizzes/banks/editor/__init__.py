"""The bank editor: rules, questions, values and quiz settings, one change at a time."""
