"""Views by actor: read a request, call an act or a query, render."""
