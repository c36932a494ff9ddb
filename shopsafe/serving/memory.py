"""What a worker has loaded when it begins to serve stays until it ends, and is not searched for garbage."""

import gc

# Of new objects, before they are searched. A page of a class makes some ten thousand and drops them; with Python's own
# number each page would search them several times.
NEW_OBJECTS = 20_000


def keep_loaded() -> None:
    """Leave everything loaded so far out of the search for garbage: with all of Django in it, one takes as long as
    several pages."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(NEW_OBJECTS, 20, 20)
