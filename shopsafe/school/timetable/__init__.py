"""When classes meet: school days, A/B and rotating days, and the class of the hour."""
