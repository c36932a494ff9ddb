"""The rules of the timetable: `school_days` with cycle days, `meetings` with the class of the hour, and `faults`."""
