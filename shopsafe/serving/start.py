"""The one command that starts the server: `python -m shopsafe.serving.start --port 8000` becomes it.

`make run`, the tests in a browser and the fault tests all start it here, so that what is tested is what a school runs.
"""

import argparse
import os
import sys

# A worker a core and one thread each: more threads make every answer slower, since SQLite's writers wait unfairly.
WORKERS = 2
HEADER_SECONDS = 15  # to send a request's headers, and the longest that an idle connection is kept
KILL_SECONDS = 10  # after which a worker that does not stop is killed


def server_command(*, host: str, port: int) -> list[str]:
    """Return the program and its arguments.

    HTTP/2 is off: no browser speaks it without HTTPS, and the time limit on headers is HTTP/1's alone.
    """
    return [
        *(sys.executable, "-m", "granian", "--interface", "rsgi", "--http", "1", "--no-ws"),
        *("--host", host, "--port", str(port), "--workers", str(WORKERS)),
        *("--http1-header-read-timeout", str(HEADER_SECONDS * 1000)),
        *("--workers-kill-timeout", str(KILL_SECONDS), "--log-level", "warning"),
        "shopsafe.rsgi:application",
    ]


def main() -> None:
    parser = argparse.ArgumentParser(description=str(__doc__).splitlines()[0])
    parser.add_argument("--host", default="127.0.0.1")
    parser.add_argument("--port", type=int, default=8000)
    options = parser.parse_args()
    command = server_command(host=options.host, port=options.port)
    os.execv(command[0], command)  # noqa: S606  no shell: our own Python takes this process's place


if __name__ == "__main__":
    main()
