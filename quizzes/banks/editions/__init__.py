"""Editions: a bank as published, frozen, approved by a teacher, with the shop's own numbers."""
