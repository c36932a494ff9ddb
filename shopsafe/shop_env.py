"""What a shop is always started with: the lines NAME=value of the file shop.env, unless the environment says otherwise.

`python shopsafe/shop_env.py` prints them for a shell. Needs neither Django nor an environment of its own.
"""

import os
import re
import shlex
import sys
from collections.abc import Mapping
from pathlib import Path

FILE = Path(__file__).resolve().parent.parent / "shop.env"
LINE = re.compile(r"(?:export )?([A-Z][A-Z0-9_]*)=(.*)")


def read(text: str, environ: Mapping[str, str]) -> dict[str, str]:
    """What `text` adds to `environ`. Empty lines and those that begin with # say nothing.

    ValueError names a line that can't be read.
    """
    values: dict[str, str] = {}
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        assignment = LINE.fullmatch(line.strip())
        if not assignment:
            raise ValueError(f"shop.env, line {number}: write NAME=value, as DEMO=no.")
        values[assignment[1]] = assignment[2].strip().strip("\"'")
    # A desktop keeps a list of locales under a name that is ours too: LANGUAGE=en_US:en.
    desktop = {"LANGUAGE"} if re.search("[_:]", environ.get("LANGUAGE", "")) else set()
    return {name: value for name, value in values.items() if name not in environ.keys() - desktop}


def from_file(environ: Mapping[str, str] = os.environ) -> dict[str, str]:
    """What shop.env adds; nothing where there is none. Ends the program with a sentence where it can't be read."""
    try:
        return read(FILE.read_text(), environ) if FILE.exists() else {}
    except (OSError, ValueError) as problem:
        sys.exit(f"shopsafe: {problem}")


if __name__ == "__main__":
    sys.stdout.writelines(f"export {name}={shlex.quote(value)}\n" for name, value in from_file().items())
