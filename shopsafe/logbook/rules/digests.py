"""The digest of a value that an entry and a record both hold, such as the answers of a quiz."""

import json
from hashlib import sha256
from typing import Any

# One encoder for all: json.dumps would make one for each value.
ENCODE = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode


def plain_text(value: Any) -> str:
    """One text for one JSON value, whatever the order in which a database keeps its keys."""
    return ENCODE(value)


def value_digest(value: Any) -> str:
    """SHA-256 of the text, in hex."""
    return sha256(plain_text(value).encode()).hexdigest()
