"""A checkpoint as people keep it: a short code to type, and a note that says what it is good for. Pure."""

import re

from shopsafe.language.messages import _, marked

# Of the root, so many letters of the hexadecimal are printed: 80 bits. To find another logbook with the same first 80
# bits takes about 2^80 tries.
DIGITS = 20
GROUP = 4


def short_code(size: int, root: str) -> str:
    """ "1234:3fa2-9c01-77ab-0e44-91d0" of 1,234 entries, from the root in hexadecimal."""
    digits = root[:DIGITS]
    return f"{size}:" + "-".join(digits[start : start + GROUP] for start in range(0, DIGITS, GROUP))


def read_code(text: str) -> tuple[int, bytes] | None:
    """The size and the first bytes of the root, from a short code or a whole checkpoint as it was typed; None for
    anything else."""
    size, _colon, digits = text.strip().lower().partition(":")
    digits = re.sub(r"[\s-]", "", digits)
    if not re.fullmatch(r"[0-9]{1,12}", size.strip(), re.ASCII) or not re.fullmatch(r"[0-9a-f]+", digits):
        return None
    if len(digits) < DIGITS or len(digits) > 64 or len(digits) % 2:
        return None
    return int(size), bytes.fromhex(digits)


NOTE = marked("""Checkpoint of the shop's logbook

Entries:  1 to {size}
Taken:    {at}
Code:     {code}
In full:  {checkpoint}

Keep this where the person who runs the server can't change it. Two people should each keep a copy.

It stands for every entry up to number {size}. If any of them is changed, removed or added to later, the logbook no
longer gives this code. To compare: open Logbook, enter the code above, and check the logbook against it. Or run

    manage.py logbook verify --against {checkpoint}
""")


def note(*, size: int, root: str, at: str) -> str:
    """The text of a file or a mail. `at` as the school's clocks show it."""
    return _(NOTE, size=size, at=at, code=short_code(size, root), checkpoint=f"{size}:{root}")
