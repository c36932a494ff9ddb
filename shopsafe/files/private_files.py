"""Everything that the program writes is for the eyes of its owner alone: the database, exports, prints, keys."""

import os
import stat
from pathlib import Path

OTHERS = stat.S_IRWXG | stat.S_IRWXO


def write_for_the_owner_alone() -> None:
    """From now on new files have the mode 0600 and new folders 0700, whatever makes them, SQLite too."""
    os.umask(OTHERS)


def make_private(path: Path) -> None:
    """Take the rights of others away from what an earlier version left open. What another user owns stays as it is."""
    try:
        now = path.stat()
        if now.st_uid == os.geteuid() and now.st_mode & OTHERS:
            path.chmod(stat.S_IMODE(now.st_mode) & ~OTHERS)
    except FileNotFoundError:
        return
