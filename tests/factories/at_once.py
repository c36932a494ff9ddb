"""Acts at the same moment, each on a connection of its own."""

import threading
from collections.abc import Callable

from django.db import connection

from shopsafe.school.refusals import Refused


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


def answers_at_once(*acts: Callable[[], object]) -> list[str]:
    """What each is answered: "done", or the code of a refusal."""
    errors = at_once(*acts)
    for error in errors:
        if not isinstance(error, Refused):
            raise error
    return sorted(["done"] * (len(acts) - len(errors)) + [str(getattr(error, "code", "")) for error in errors])


def four_times_at_once(act: Callable[[], object]) -> list[str]:
    return answers_at_once(*[act] * 4)
