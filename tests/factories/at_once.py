"""Acts at the same moment, each on a connection of its own."""

import threading
from collections.abc import Callable

from django.db import connection


def at_once(*acts: Callable[[], object]) -> list[Exception]:
    """Run them together and return what they raised."""
    start, errors = threading.Barrier(len(acts)), []

    def run(act: Callable[[], object]) -> None:
        start.wait(timeout=60)
        try:
            act()
        except Exception as error:
            errors.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(act,)) for act in acts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return errors
