"""Machines that nobody may use: tagged out with a reason, returned to service after an inspection."""
