"""Writes plain data as TOML in one canonical way, so that writing what was read gives the same bytes."""

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.items import AoT, Item, Table

WIDTH = 120  # a longer list is written one item a line


def dump(data: Mapping[str, Any]) -> str:
    """Return `data` as TOML text: strings, whole and decimal numbers, booleans, dates, lists and tables.

    Tables inside a row of `[[name]]` are written inline, so that a row is one block to read and to move.
    """
    document = tomlkit.document()
    _fill(document, data)
    return tomlkit.dumps(document).lstrip("\n")


def _fill(table: Any, data: Mapping[str, Any]) -> None:
    """A table's own keys first, then the tables under it, as TOML wants it."""
    inner = {key: item for key, item in data.items() if _is_table(item) or _is_rows(item)}
    for key, item in data.items():
        if key not in inner:
            table.append(key, _value(key, item))
    for key, item in inner.items():
        table.append(key, _rows(item) if _is_rows(item) else _table(item))


def _table(data: Mapping[str, Any]) -> Table:
    table = tomlkit.table()
    _fill(table, data)
    return table


def _rows(rows: list[Mapping[str, Any]]) -> AoT:
    array = tomlkit.aot()
    for row in rows:
        table = tomlkit.table()
        for key, item in row.items():
            table.append(key, _value(key, item))
        array.append(table)
    return array


def _value(key: str, item: Any) -> Item:
    if isinstance(item, Mapping):
        inline = tomlkit.inline_table()
        for name, value in item.items():
            inline.append(name, _value("", value))
        return inline
    if not isinstance(item, list | tuple):
        plain: Item = tomlkit.item(item)
        return plain
    array = tomlkit.array()
    for value in item:
        array.append(_value("", value))
    is_long = bool(key and item) and len(f"{key} = {array.as_string()}") > WIDTH
    array.multiline(is_long)
    return array


def _is_table(item: Any) -> bool:
    return isinstance(item, Mapping)


def _is_rows(item: Any) -> bool:
    return isinstance(item, list | tuple) and bool(item) and all(isinstance(row, Mapping) for row in item)
