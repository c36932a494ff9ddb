"""Reads every hostile file in a process of its own, and prints what was said, the memory at its highest, and the time.

Run as `python -m tests.hostile.measure`. A file is made before its process begins, so that only the reading counts.
"""

import json
import os
import resource
import signal
import sys

import openpyxl  # noqa: F401  as a server has it loaded after its first class list

from quizzes.banks.files.rules.preview import look
from quizzes.banks.rules.checks import check
from shopsafe.school.rosters.rules import NotARoster, preview, read_file, read_pasted
from tests.hostile.files import HOSTILE, LARGEST

MOST_MEMORY = 2 << 30  # bytes: the measuring itself must not take the computer down
MOST_SECONDS = 60


def refusal(name: str, reader: str, content: bytes) -> str:
    """The sentence that refuses the file; empty where it was taken."""
    if reader == "bank":
        looked = look(content, {})
        if looked.bank:
            check(looked.bank)
        return " ".join(map(str, looked.problems))[:2000] if looked.bank is None else ""
    try:
        preview(read_pasted(content.decode()) if reader == "pasted" else read_file(name, content), [])
    except NotARoster as refused:
        return refused.sentence
    return ""


def measured(name: str) -> dict[str, object]:
    file = (HOSTILE | LARGEST)[name]
    content = file.make()
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
        signal.alarm(MOST_SECONDS)
        try:
            sentence = refusal(name, file.reader, content)
        except BaseException as problem:  # whatever it is, the test must read it
            sentence = f"CRASH {type(problem).__name__}: {problem}"[:500]
        os.write(writing, sentence.encode("utf-8", "replace"))
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        sentence = pipe.read().decode()
    _, _, used = os.wait4(child, 0)
    return {"said": sentence, "megabytes": used.ru_maxrss // 1024, "seconds": round(used.ru_utime + used.ru_stime, 2)}


if __name__ == "__main__":
    json.dump({name: measured(name) for name in sys.argv[1:] or HOSTILE}, sys.stdout)
