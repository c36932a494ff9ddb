"""Uploads that try to take the server's memory or time, or to carry something past the reader."""
