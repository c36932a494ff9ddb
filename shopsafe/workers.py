"""Starts a command of ours in a process of its own, for work that no request should wait for."""

import subprocess
import sys

from django.conf import settings


def start_worker(*arguments: str) -> None:
    """Starts `manage.py` with these arguments, where the settings let requests start processes."""
    if settings.WORKERS:
        subprocess.Popen(  # noqa: S603  our own command
            [sys.executable, settings.BASE_DIR / "manage.py", *arguments],
            cwd=settings.BASE_DIR,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            start_new_session=True,  # it outlives a server that is restarted
        )
