"""Pages of hazard reports: for the person who reports, and for the teacher who looks."""
