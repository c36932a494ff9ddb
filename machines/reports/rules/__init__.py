"""The rules of reports: `hazards`, `inspections`, `returns`, `deadlines`, `rates`, and the `calendar_feed`."""
