"""How people are named: the short form on tiles and cards, the order of lists, the name typed to sign in."""

import re
import unicodedata

BARRED = str.maketrans({"ł": "l", "ø": "o", "ı": "i"})  # a letter and its bar are not taken apart by Unicode


def short_name(name: str, given: str, family: str) -> str:
    """ "Amira K." where the two parts are known, otherwise the whole name: it is never guessed apart."""
    return f"{given} {family[0]}." if given and family else name


def sort_key(name: str) -> str:
    """What lists are ordered by: the name as it is displayed; case and accents do not count."""
    return plain(name)


def plain(text: str) -> str:
    """Lower case, without accents, single spaces: what two spellings of one name share."""
    if text.isascii():  # most names, in a tenth of the time
        return " ".join(text.lower().split())
    letters = text
    for _ in range(2):  # what is decomposed may have a case of its own, as in "ℕ" [Unicode, 3.13]
        letters = unicodedata.normalize("NFKD", letters.casefold())
    kept = "".join(c for c in letters.translate(BARRED) if not unicodedata.combining(c))
    return re.sub(r"\s+", " ", kept).strip()


def sign_in_key(typed: str) -> str:
    """The form in which a typed sign-in name is compared: letters and digits only ("Inga  Vále" → "ingavale")."""
    return "".join(c for c in plain(typed) if c.isalnum())


def full_name(given: str, family: str) -> str:
    """ "Uma Márquez" from its two parts."""
    return f"{given} {family}".strip()
