"""What an app declares of its safety records: how a row, and the entry that proves it, say the same thing.

Each app has one module of declarations, as data, and registers it at start-up. `records.py` compares rows with entries
by them, and `guards.py` installs the triggers that they ask for. A row and an entry are both reduced to the same fact:
a tuple of numbers and texts. SQL brings the columns to plain values, so that both engines give the same.
"""

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import Any

from shopsafe.logbook.rules.digests import plain_text, value_digest
from shopsafe.logbook.verification.older import NUMBER, Completing, Payload
from shopsafe.logbook.verification.triggers import Guard

type Getter = Callable[[Payload], Any]
type Sql = str | Mapping[str, str]

# The keys under which a payload that is compared carries the number of its entry and the moment of its header.
ENTRY, MOMENT = NUMBER, "@"
# What an expression calls them, which need not be put into the payload for it.
ENTRY_FIELDS = {ENTRY: "seq", MOMENT: "at"}


def sql_of(sql: Sql, vendor: str) -> str:
    return sql if isinstance(sql, str) else sql[vendor]


@dataclass(frozen=True)
class Column:
    """One value: `sql` is an expression on the row r, `read` brings its value to what `stated` finds in a payload."""

    name: str
    sql: Sql
    stated: Getter
    read: Callable[[Any], Any] | None = None


@dataclass(frozen=True)
class Aspect:
    """One act on a record: its making, or an ending of it.

    name     the verb of a sentence: "made", "withdrawn"
    kinds    the kinds of entry that say it → what such an entry leaves unsaid, by the name of the column
    key      the getter of the record's number in a payload
    at       the column of the act's moment: a row where it is empty has not been through this act
    needs    the key of a payload without which the entry, an older one, says nothing of this aspect
    moment   False if the row keeps another moment than the entry
    older    what works out, once a reading, what entries of an earlier program leave unsaid
    """

    name: str
    kinds: Mapping[str, Mapping[str, Getter]]
    key: Getter
    at: Sql
    columns: tuple[Column, ...]
    needs: str = ""
    moment: bool = True
    older: Completing | None = None


@dataclass(frozen=True)
class RecordTable:
    """One table of records. `name` as a sentence says it; `source` stands after FROM and calls the row r."""

    name: str
    table: str
    aspects: tuple[Aspect, ...]
    key: Sql = "r.id"
    school: str = "r.school_id"
    entry: str = "NULL"
    source: Sql = ""
    guard: Guard | None = None

    @cached_property
    def kinds(self) -> frozenset[str]:
        return frozenset(kind for aspect in self.aspects for kind in aspect.kinds)

    def statement(self, vendor: str) -> str:
        """The rows with all that is compared: key, school, entry, then each aspect's moment and columns."""
        picked = [sql_of(self.key, vendor), self.school or "NULL", self.entry]
        for aspect in self.aspects:
            moment = sql_of(aspect.at, vendor)
            picked.append(second(moment, vendor) if aspect.moment else moment)
            picked.extend(sql_of(column.sql, vendor) for column in aspect.columns)
        source = sql_of(self.source, vendor) or f"{self.table} r"
        return f"SELECT {', '.join(picked)} FROM {source}"  # noqa: S608  declared by our own modules


DECLARED: dict[str, RecordTable] = {}


def register(tables: Iterable[RecordTable]) -> None:
    """Declare an app's records. Raises ValueError if two declarations have one name."""
    for table in tables:
        if DECLARED.setdefault(table.name, table) != table:
            raise ValueError(f"Two declarations are called {table.name}.")


# What a payload says.


@dataclass(frozen=True, slots=True)
class PayloadValue:
    """The value at payload[first][last], or at payload[first]; `otherwise` if it is not there."""

    first: str
    last: str = ""
    otherwise: Any = None

    def __call__(self, payload: Payload) -> Any:
        try:
            return payload[self.first][self.last] if self.last else payload[self.first]
        except (KeyError, TypeError, IndexError):
            return self.otherwise


def payload_value(path: str, otherwise: Any = None) -> Getter:
    """The value at "student.id" in a payload; `otherwise` if it is not there."""
    first, _, last = path.partition(".")
    return PayloadValue(first, last, otherwise)


def compiled(parts: Sequence[str], takes: str, names: dict[str, Any]) -> Callable[..., tuple[Any, ...]]:
    """A function that gives these expressions as one tuple: a million rows and payloads are read in one go."""
    function: Callable[..., tuple[Any, ...]] = eval(f"lambda {takes}: ({', '.join(parts)},)", names)  # noqa: S307  ours
    return function


@dataclass(frozen=True, slots=True)
class ReadValue:
    """What `find` finds in a payload, as `read` brings it to what is compared."""

    find: Getter
    read: Callable[[Any], Any]

    def __call__(self, payload: Payload) -> Any:
        return self.read(self.find(payload))


def is_plain(getter: Getter) -> bool:
    """Whether `expression` reads nothing but what the payload itself says: a function may ask for number and moment."""
    return isinstance(getter.find if isinstance(getter, ReadValue) else getter, PayloadValue | SameValue)


def expression(getter: Getter, name: str, names: dict[str, Any]) -> str:
    """The getter in Python, on `payload`, `seq` and `at`, and in `names` what the expression calls `name`."""
    match getter:
        case ReadValue(find, read):
            names[f"{name}read"] = read
            return f"{name}read({expression(find, name, names)})"
        case PayloadValue(first, "") if first in ENTRY_FIELDS:
            return ENTRY_FIELDS[first]
        case PayloadValue(first, last, otherwise):
            names[name] = {last: otherwise} if last else otherwise
            return f"payload.get({first!r}, {name})" + (f"[{last!r}]" if last else "")
        case SameValue(value):
            names[name] = value
            return name
    names[name] = getter
    return f"{name}(payload)"


@dataclass(frozen=True, slots=True)
class SameValue:
    """What every entry of a kind means, whatever it says."""

    value: Any

    def __call__(self, payload: Payload) -> Any:
        return self.value


def always(value: Any) -> Getter:
    return SameValue(value)


def said_ids(path: str, ordered: bool = True) -> Getter:
    """The keys of a list of things, joined: "12,15". None for an empty list, as SQL joins nothing."""
    find = payload_value(path)

    def joined(payload: Payload) -> str | None:
        things = find(payload)
        if not isinstance(things, list):
            return None
        keys = [thing["id"] for thing in things]
        return ",".join(map(str, keys if ordered else sorted(keys))) or None

    return joined


# Columns, by what they hold.


def second(sql: str, vendor: str) -> str:
    """A moment as the header of an entry writes it: 2026-09-14T13:05:09Z."""
    if vendor == "sqlite":
        return f"replace(substr({sql}, 1, 19), ' ', 'T') || 'Z'"
    return f"""to_char({sql} AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS') || 'Z'"""


def plain(name: str, path: str = "", otherwise: Any = None, sql: str = "") -> Column:
    """A number or a text. `path` in the payload is the column's name if it is not given."""
    return Column(name, sql or f"r.{name}", payload_value(path or name, otherwise))


def moment(name: str, path: str = "") -> Column:
    return Column(name, {v: second(f"r.{name}", v) for v in ("sqlite", "postgresql")}, payload_value(path or name))


def day(name: str, path: str = "") -> Column:
    return Column(name, f"CAST(r.{name} AS text)", payload_value(path or name))


def flag(name: str, getter: Getter) -> Column:
    return Column(name, f"CASE WHEN r.{name} THEN 1 ELSE 0 END", ReadValue(getter, lambda value: int(bool(value))))


def json_value(name: str, getter: Getter) -> Column:
    """A JSON column, compared as one text."""
    return Column(name, f"CAST(r.{name} AS text)", ReadValue(getter, value_text), stored_text)


def value_text(value: Any) -> str:
    """`plain_text`; the same lists of words come again and again, such as the points of a demonstration."""
    if type(value) is not list or not value or type(value[0]) is not str:
        return plain_text(value)
    try:
        return items_text(*value)
    except TypeError:  # not words alone
        return plain_text(value)


@lru_cache(1024, typed=True)
def items_text(*items: Any) -> str:
    return plain_text(items)


@lru_cache(1024)
def stored_text(text: str) -> str:
    """`plain_text` of a JSON column as the database writes it."""
    return plain_text(json.loads(text))


def json_digest(name: str, sql: Sql, path: str) -> Column:
    """A JSON value, compared by the digest that the entry holds."""
    return Column(name, sql, payload_value(path), lambda text: value_digest(json.loads(text)))


def names_entry() -> Column:
    """The row names the entry that proves it."""
    return Column("entry", "r.entry_id", payload_value(ENTRY))


def uuid_sql(sql: str) -> Sql:
    """A UUID as 32 letters, as SQLite keeps it."""
    return {"sqlite": sql, "postgresql": f"replace(CAST({sql} AS text), '-', '')"}


def uuid_said(path: str) -> Getter:
    find = payload_value(path)
    return lambda payload: str(find(payload)).replace("-", "")


def joined_ids(column: str, table: str, of: str, order: str = "") -> Sql:
    """The keys in a table of pairs, as "12,15"; NULL if there are none."""
    order = order or column
    return {
        "sqlite": f"(SELECT group_concat({column}, ',') FROM "  # noqa: S608
        f"(SELECT {column} FROM {table} WHERE {of} = r.id AND {column} IS NOT NULL ORDER BY {order}))",
        "postgresql": f"(SELECT string_agg(CAST({column} AS text), ',' ORDER BY {order}) FROM {table} "  # noqa: S608
        f"WHERE {of} = r.id)",
    }


@dataclass
class Since:
    """The first entry that says each aspect that older entries leave unsaid."""

    seqs: dict[tuple[str, str], int] = field(default_factory=dict)

    def note(self, aspect: tuple[str, str], seq: int) -> None:
        self.seqs.setdefault(aspect, seq)

    def covers(self, aspect: tuple[str, str], entry: int | None) -> bool:
        first = self.seqs.get(aspect)
        return first is not None and (entry is None or entry >= first)
