"""The database beneath the apps: SQLite, plain rows, backups, and sweeping out what was erased."""
