"""Hazard reports: made by anyone signed in, looked at by a teacher."""
