"""Who is cleared for what: one class, one student, one cell, one school, and what needs attention today."""
