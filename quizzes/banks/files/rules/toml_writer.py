"""Writes plain data as TOML in one canonical way, so that writing what was read gives the same bytes."""

from collections.abc import Mapping
from typing import Any

WIDTH = 120
BARE = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-")
ESCAPES = {"\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r", '"': '\\"', "\\": "\\\\"}


def dump(data: Mapping[str, Any]) -> str:
    """`data` as TOML text: strings, whole and decimal numbers, booleans, dates, lists and tables."""
    blocks: list[str] = []
    _table(blocks, (), data, header="")
    return "\n".join(blocks).lstrip("\n")


def _table(blocks: list[str], path: tuple[str, ...], table: Mapping[str, Any], *, header: str) -> None:
    """One table: its own keys first, then the tables under it, as TOML wants it."""
    plain = {key: item for key, item in table.items() if not _is_table(item) and not _is_tables(item)}
    if header and (plain or not table):
        blocks.append("\n".join([header, *(_pair(key, item) for key, item in plain.items())]) + "\n")
    elif plain:
        blocks.append("\n".join(_pair(key, item) for key, item in plain.items()) + "\n")
    for key, item in table.items():
        inner = (*path, key)
        name = ".".join(_key(part) for part in inner)
        if _is_table(item):
            _table(blocks, inner, item, header=f"[{name}]")
        elif _is_tables(item):
            for one in item:
                blocks.append(_row(name, one))


def _row(name: str, row: Mapping[str, Any]) -> str:
    """One `[[name]]`; tables inside it are written inline, so that a row is one block to read and to move."""
    return "\n".join([f"[[{name}]]", *(_pair(key, item) for key, item in row.items())]) + "\n"


def _is_table(item: Any) -> bool:
    return isinstance(item, Mapping)


def _is_tables(item: Any) -> bool:
    return isinstance(item, list | tuple) and bool(item) and all(isinstance(one, Mapping) for one in item)


def _pair(key: str, item: Any) -> str:
    line = f"{_key(key)} = {_inline(item)}"
    if len(line) <= WIDTH or not isinstance(item, list | tuple) or not item:
        return line
    return "\n".join([f"{_key(key)} = [", *(f"    {_inline(one)}," for one in item), "]"])


def _key(key: str) -> str:
    return key if key and BARE.issuperset(key) else _text(key)


def _inline(item: Any) -> str:
    match item:
        case bool():
            return "true" if item else "false"
        case str():
            return _text(item)
        case int():
            return str(item)
        case float():
            return repr(item)
        case list() | tuple():
            return "[" + ", ".join(_inline(one) for one in item) + "]"
        case Mapping():
            return (
                "{ " + ", ".join(f"{_key(key)} = {_inline(one)}" for key, one in item.items()) + " }" if item else "{}"
            )
    return str(item.isoformat())  # dates and times of day, as tomllib reads them


def _text(text: str) -> str:
    return '"' + "".join(ESCAPES.get(sign) or _escaped(sign) for sign in text) + '"'


def _escaped(sign: str) -> str:
    return sign if sign.isprintable() or sign == " " or ord(sign) > 0x9F else f"\\u{ord(sign):04X}"
