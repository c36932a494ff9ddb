"""Reading the whole logbook: what was tampered with is named."""
