"""What stands between a missed attempt and the next one."""
