"""Schools, shops, terms and classes, set up by the office."""
