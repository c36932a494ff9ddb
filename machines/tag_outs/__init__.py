"""Machines that no one may use: tagged out with a reason, returned to service after an inspection."""
