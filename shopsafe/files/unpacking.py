"""Reads the members of an uploaded zip: by what comes out of them, in bounded pieces, stored or deflated alone.

What a zip states of itself is only checked, never relied on. `zipfile` reads the directory; it does not read a member:
its own reader takes a whole member into memory before it compares the size, and it knows more ways of packing.
"""

import io
import zipfile
import zlib
from collections.abc import Callable, Iterator, Sequence
from struct import Struct, error
from typing import Literal

PIECE = 64 * 1024
MOST_LISTED = 1_000  # entries of a directory; a member is counted here before the directory is read
_ENTRY_SIGN, _MEMBER_SIGN = b"PK\x01\x02", b"PK\x03\x04"
_HEADER = Struct("<4sHHHHHIIIHH")  # a member's own header [APPNOTE.TXT 6.3.10, section 4.3.7]


type BadZipCode = Literal["broken", "password", "packing", "size", "twice", "many"]


class BadZip(ValueError):
    """The zip can't be read."""

    def __init__(self, code: BadZipCode, member: str = "") -> None:
        super().__init__(f"{code} {member}".strip())
        self.code: BadZipCode = code
        self.member = member[:80]


def listed(data: bytes) -> list[zipfile.ZipInfo]:
    """The members that the directory lists, none of them read yet. Raises BadZip."""
    if data.count(_ENTRY_SIGN) > MOST_LISTED:
        raise BadZip("many")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries = archive.infolist()
    except (zipfile.BadZipFile, zipfile.LargeZipFile, NotImplementedError, EOFError, OSError, ValueError) as wrong:
        raise BadZip("broken") from wrong
    names = [entry.filename.casefold() for entry in entries]
    if len(set(names)) < len(names):
        raise BadZip("twice", next(name for name in names if names.count(name) > 1))
    for entry in entries:
        if entry.flag_bits & 0x2041:  # a password, or a directory that is itself encrypted
            raise BadZip("password", entry.filename)
        if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
            raise BadZip("packing", entry.filename)
    return entries


def unpacked(
    data: bytes, entries: Sequence[zipfile.ZipInfo], most_of: Callable[[str], int], most_in_all: int
) -> Iterator[tuple[str, bytes]]:
    """Each member's name and content, in the order given. Raises BadZip, with code `size` for one past its limit.

    `most_of` tells how many bytes may come out of a member of this name.
    """
    left = most_in_all
    for entry in entries:
        content = _content(data, entry, min(left, most_of(entry.filename)))
        left -= len(content)
        yield entry.filename, content


def _content(data: bytes, entry: zipfile.ZipInfo, most: int) -> bytes:
    packed = _packed(data, entry)
    if entry.compress_type == zipfile.ZIP_STORED:
        content = bytes(packed[: most + 1])
    else:
        content = _inflated(packed, entry, most)
    if len(content) > most:
        raise BadZip("size", entry.filename)
    if len(content) != entry.file_size or zlib.crc32(content) != entry.CRC:
        raise BadZip("broken", entry.filename)
    return content


def _packed(data: bytes, entry: zipfile.ZipInfo) -> memoryview:
    """The packed bytes of a member, which must lie inside the zip, behind a header that says the same."""
    try:
        sign, _, _, method, _, _, _, _, _, of_name, of_more = _HEADER.unpack_from(data, entry.header_offset)
    except error as wrong:
        raise BadZip("broken", entry.filename) from wrong
    start = entry.header_offset + _HEADER.size + of_name + of_more
    if sign != _MEMBER_SIGN or method != entry.compress_type or start + entry.compress_size > len(data):
        raise BadZip("broken", entry.filename)
    return memoryview(data)[start : start + entry.compress_size]


def _inflated(packed: memoryview, entry: zipfile.ZipInfo, most: int) -> bytes:
    """What comes out, a piece at a time, and no more than one piece beyond `most`."""
    stream, pieces, length = zlib.decompressobj(-zlib.MAX_WBITS), list[bytes](), 0
    try:
        for start in range(0, len(packed), PIECE):
            waiting: bytes | memoryview = packed[start : start + PIECE]
            while waiting and length <= most and not stream.eof:
                pieces.append(stream.decompress(waiting, PIECE))
                length += len(pieces[-1])
                waiting = stream.unconsumed_tail
            if length > most or stream.eof:
                break
    except zlib.error as wrong:
        raise BadZip("broken", entry.filename) from wrong
    if length <= most and not stream.eof:
        raise BadZip("broken", entry.filename)
    return b"".join(pieces)
