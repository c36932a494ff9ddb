"""A Django site of the plainest kind on our database: the floor of a request."""
