"""The pages of records: a student's evidence file, the logbook, and how long records are kept."""
