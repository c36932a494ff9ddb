"""Drafts: a bank as a teacher changes it, before it is published."""
