"""The press: a process with limits that turns HTML into PDF, and what it may load."""
