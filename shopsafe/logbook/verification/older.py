"""How entries are read that an earlier program wrote: what they leave unsaid is worked out, and never freely believed.

What an older entry leaves unsaid is what that program did in every case, worked out from the entry and from records
that the logbook proves. A record that differs from it is named like any other. The first entry that says it by itself
ends the older time: nothing is worked out for an entry after that one.
"""

from collections.abc import Callable
from typing import Any

type Payload = dict[str, Any]
# An entry's kind and payload → the payload with nothing left unsaid; None for an entry that says nothing of the aspect.
type Complete = Callable[[str, Payload], Payload | None]
# Drawn once for each reading of the logbook, since it remembers where the older time ends.
type Completing = Callable[[], Complete]

NUMBER = "#"


class OlderTime:
    """The entries before the first that only a later program writes."""

    def __init__(self) -> None:
        self._first: int | None = None

    def end_at(self, payload: Payload) -> None:
        seq = payload[NUMBER]
        self._first = seq if self._first is None else min(seq, self._first)

    def holds(self, payload: Payload) -> bool:
        return self._first is None or payload[NUMBER] < self._first


def always_said_since(kind: str, key: str, value: Any) -> Completing:
    """Entries of this kind have said `key` since some version; before it, every one of them meant `value`."""

    def completing() -> Complete:
        older = OlderTime()

        def complete(of_kind: str, payload: Payload) -> Payload | None:
            if of_kind != kind:
                return payload
            if key in payload:
                older.end_at(payload)
            elif older.holds(payload):
                return {**payload, key: value}
            return payload

        return complete

    return completing
