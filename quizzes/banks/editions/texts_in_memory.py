"""The editions that a process has read, as many as fit: the one that was not asked for longest goes first."""

from quizzes.facts import EditionText

type Key = tuple[str, str]  # digest and language


class TextsInMemory:
    """Texts and the bytes that each takes, `most` bytes in all."""

    def __init__(self, most: int) -> None:
        self.most, self.bytes = most, 0
        self._kept: dict[Key, tuple[EditionText, int]] = {}

    def get(self, key: Key) -> EditionText | None:
        kept = self._kept.pop(key, None)
        if kept is None:
            return None
        self._kept[key] = kept  # now the last to go
        return kept[0]

    def keep(self, key: Key, text: EditionText, size: int) -> None:
        """Keep it, also where it is larger than all the room: the page that asks for it needs it more than once."""
        self._drop(key)
        while self._kept and self.bytes + size > self.most:
            self._drop(next(iter(self._kept)))
        self._kept[key] = (text, size)
        self.bytes += size

    def _drop(self, key: Key) -> None:
        if dropped := self._kept.pop(key, None):
            self.bytes -= dropped[1]

    def __len__(self) -> int:
        return len(self._kept)
