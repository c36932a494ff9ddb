"""Pages of inspections, of their lists, of the service history, and the calendar."""
