"""How long a student's record is kept, and what keeps it longer."""
