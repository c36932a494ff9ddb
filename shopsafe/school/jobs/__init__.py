"""The jobs of every night: when each is due, which process runs it, and what the office reads of it."""
