#!/usr/bin/env python3
"""Checks an evidence file without the program that made it: python3 verify_evidence.py FILE [SIZE:ROOT]

Standard library only. Each entry must give its own commitment and hash, and its path must lead to the root of the
checkpoint in the file. Hold that checkpoint against one printed at the time: give it as SIZE:ROOT, or compare it by
eye. What is then shown: these entries were written as they are here, before that print. What is not: that there
are no others. Exit code 0 if all holds, 1 if not, 2 if the file can't be read. The hashes are those of RFC 6962.
"""

import hashlib
import json
import sys


def sha256(*parts):
    return hashlib.sha256(b"".join(parts)).digest()


def root_by_path(leaf, place, size, path):
    """RFC 9162, section 2.1.3.2."""
    node, here, last = sha256(b"\x00", leaf), place, size - 1
    for sibling in path:
        if last == 0:
            return None
        if here & 1 or here == last:
            node = sha256(b"\x01", sibling, node)
            while not here & 1 and here:
                here, last = here >> 1, last >> 1
        else:
            node = sha256(b"\x01", node, sibling)
        here, last = here >> 1, last >> 1
    return node if last == 0 else None


def fault(entry, checkpoint, subject, before):
    """What is wrong with one entry; None if nothing. `before` maps numbers to hashes of entries seen already."""
    seq, header, payload = entry["seq"], entry["header"].encode(), entry["payload"].encode()
    fields = {name: bytes.fromhex(entry[name]) for name in ("prev", "salt", "commitment", "hash")}
    if any(len(value) != 32 for value in fields.values()):
        return "a hash or the salt has the wrong length"
    if sha256(b"c1", fields["salt"], payload) != fields["commitment"]:
        return "what it says was changed"
    if sha256(b"e1", seq.to_bytes(8, "big"), fields["prev"], header, fields["commitment"]) != fields["hash"]:
        return "its number, its header or the hash before it was changed"
    if before.get(seq - 1, fields["prev"]) != fields["prev"]:
        return "it does not follow the entry before it"
    path = [bytes.fromhex(node) for node in entry["path"]]
    if not 0 < seq <= checkpoint["size"] or root_by_path(
        fields["hash"], seq - 1, checkpoint["size"], path
    ) != bytes.fromhex(checkpoint["root"]):
        return "it is not in the logbook that the checkpoint was taken of"
    header_fields = json.loads(header)
    if (entry["at"], entry["kind"]) != (header_fields["at"], header_fields["kind"]):
        return "its time or kind is not what its header says"
    if not names(payload, subject["id"]):
        return "it does not name the person this file is about"
    return None


def names(payload, subject_id):
    """How the entry names the person with this number; a person's name may change over the years."""
    values = [
        item for value in json.loads(payload).values() for item in (value if isinstance(value, list) else [value])
    ]
    return {
        item["name"] for item in values if isinstance(item, dict) and item.get("id") == subject_id and "name" in item
    }


def check(evidence, printed=None):
    """The first thing wrong with the file, in words; None if nothing."""
    checkpoint, subject, seen, called = evidence["checkpoint"], evidence["subject"], {}, set()
    if evidence["format"] != "shopsafe evidence 1":
        return "This is another kind of file."
    if printed and printed != f"{checkpoint['size']}:{checkpoint['root']}":
        return "The checkpoint in the file is not the one you gave."
    for entry in evidence["entries"]:
        if seen and entry["seq"] <= max(seen):
            return f"Entry {entry['seq']} is in the wrong place."
        wrong = fault(entry, checkpoint, subject, seen)
        if wrong:
            return f"Entry {entry['seq']}: {wrong}."
        seen[entry["seq"]] = bytes.fromhex(entry["hash"])
        called |= names(entry["payload"], subject["id"])
    if seen and subject["name"] not in called:
        return "No entry calls the person by the name this file gives."
    return None


def main(arguments):
    if len(arguments) not in (1, 2):
        print(__doc__)
        return 2
    try:
        with open(arguments[0], encoding="utf-8") as file:
            evidence = json.load(file)
        wrong = check(evidence, *arguments[1:])
    except (OSError, ValueError, KeyError, TypeError, AttributeError, OverflowError) as error:
        print(f"This is no evidence file that can be read: {error!r}")
        return 2
    if wrong:
        print(wrong)
        return 1
    checkpoint = evidence["checkpoint"]
    print(f"{len(evidence['entries'])} entries about {evidence['subject']['name']}: all as they were written.")
    print(f"Checkpoint {checkpoint['size']}:{checkpoint['root']}, said to be taken {checkpoint['at']}.")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
