"""Inspections of machines: their lists, what is due, service history, sheets, and a calendar to subscribe to."""
