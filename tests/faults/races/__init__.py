"""Two acts at the same moment, over HTTP, at two servers: it must come out as if one had come after the other."""
