"""Acts of inspections: one file for what is inspected, one for lists, one for service, one for calendars."""
