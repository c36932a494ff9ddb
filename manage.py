#!/usr/bin/env python3
"""Django's command line for shopsafe, with the Python of .venv and the settings of shop.env."""

import os
import sys
from pathlib import Path

OURS = Path(__file__).resolve().parent / ".venv" / "bin" / "python"
NO_TABLE = ("no such table", "does not exist")  # SQLite's and PostgreSQL's words


def main() -> None:
    from shopsafe import shop_env

    os.environ.update(shop_env.from_file())
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopsafe.settings")
    try:
        from django.core.management import execute_from_command_line
        from django.db import DatabaseError
    except ModuleNotFoundError:
        with_ours()
        return
    try:
        execute_from_command_line(sys.argv)
    except DatabaseError as error:
        if not any(words in str(error) for words in NO_TABLE):
            raise
        sys.exit(no_shop_here())


def with_ours() -> None:
    """The same once more with the Python that `make run` has made. It takes this process's place."""
    if not OURS.exists() or Path(sys.prefix) == OURS.parent.parent:
        sys.exit("shopsafe: there is no .venv yet. `make run` makes it.")
    os.execv(OURS, [str(OURS), *sys.argv])  # noqa: S606  no shell: our own Python with the same words


def no_shop_here() -> str:
    from django.db import connection

    name, empty = connection.settings_dict["NAME"], not connection.introspection.table_names()
    connection.close()
    if connection.vendor == "sqlite" and empty:
        Path(name).unlink(missing_ok=True)  # asking alone has made it
    return (
        f"shopsafe: no shop is kept in {name}. Start it there once with `make run`, or name the right database:"
        " DATABASE_URL=... before the command, or in shop.env."
    )


if __name__ == "__main__":
    main()
