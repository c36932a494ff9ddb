"""What the server said was done, what it did not answer, and when a request of each kind is under way."""

import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from tests.faults.asking import Client, Unanswered

DONE = frozenset({302})


@dataclass(frozen=True)
class Sent:
    """One request: what it does, to what, and which answers say that it is done, now or by an earlier sending."""

    kind: str
    key: str
    path: str
    fields: dict[str, Sequence[str]]
    done: frozenset[int] = DONE
    done_before: frozenset[int] = frozenset()
    note: Callable[[Client], None] | None = None  # notes what was acknowledged, in place of `Noted.acts`


@dataclass
class Noted:
    """`acts`: (kind, key) of what was acknowledged. `answers`: (attempt, question) → (revision, response)."""

    acts: list[tuple[str, str]] = field(default_factory=list)
    answers: dict[tuple[str, str], tuple[int, Any]] = field(default_factory=dict)
    saves: int = 0
    unanswered: Counter[str] = field(default_factory=Counter)
    again: Counter[str] = field(default_factory=Counter)
    refused: list[str] = field(default_factory=list)
    slowest: dict[str, float] = field(default_factory=dict)  # kind → seconds

    def __post_init__(self) -> None:
        self.begins = threading.Condition()
        self.under_way: Counter[str] = Counter()

    def post(self, client: Client, sent: Sent) -> int:
        """Sends it. What is acknowledged is noted; Unanswered is raised for the caller."""
        try:
            with self.doing(sent.kind):
                status = client.post(sent.path, sent.fields)
        except Unanswered:
            self.unanswered[sent.kind] += 1
            raise
        if status in sent.done:
            self.note(client, sent)
        elif status >= 500:
            self.refused.append(f"{sent.kind} {sent.key} was answered {status}")
        return status

    def note(self, client: Client, sent: Sent) -> None:
        if sent.note is None:
            self.acts.append((sent.kind, sent.key))
        else:
            sent.note(client)

    @contextmanager
    def doing(self, kind: str) -> Iterator[None]:
        """Something of this kind is under way."""
        with self.begins:
            self.under_way[kind] += 1
            self.begins.notify_all()
        began = time.perf_counter()
        try:
            yield
            self.slowest[kind] = max(self.slowest.get(kind, 0.0), time.perf_counter() - began)
        finally:
            self.under_way[kind] -= 1

    def post_again(self, client: Client, sent: Sent) -> None:
        """Sends what was not answered once more, the same to the letter: it must be done by now, once."""
        status = self.post(client, sent)
        self.again[sent.kind] += 1
        if status in sent.done_before:
            self.note(client, sent)
        elif status not in sent.done:
            self.refused.append(f"{sent.kind} {sent.key}, sent again, was answered {status}")

    def wait_for(self, kind: str, seconds: float) -> bool:
        """Waits until a request of this kind is under way."""
        with self.begins:
            return self.begins.wait_for(lambda: self.under_way[kind] > 0, timeout=seconds)

    @property
    def by_kind(self) -> dict[str, int]:
        return {"answer": self.saves, **Counter(kind for kind, _ in self.acts)}
