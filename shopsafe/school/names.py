"""How people are named: the short form on tiles and cards, the order of lists, the name typed to sign in."""

import re
import unicodedata


def short_name(name: str, given: str, family: str) -> str:
    """ "Amira K." where the two parts are known, otherwise the whole name: it is never guessed apart."""
    return f"{given} {family[0]}." if given and family else name


def sort_key(name: str, given: str, family: str) -> str:
    """What lists are ordered by: family name first where it is known; case and accents do not count."""
    return plain(f"{family} {given}" if family else name)


def plain(text: str) -> str:
    """Lower case, without accents, single spaces: what two spellings of one name share."""
    letters = unicodedata.normalize("NFKD", text.casefold().replace("ł", "l").replace("ø", "o").replace("ı", "i"))
    kept = "".join(c for c in letters if not unicodedata.combining(c))
    return re.sub(r"\s+", " ", kept).strip()


def sign_in_key(typed: str) -> str:
    """The form in which a typed sign-in name is compared: letters and digits only ("Inga  Vále" → "ingavale")."""
    return "".join(c for c in plain(typed) if c.isalnum())


def full_name(given: str, family: str) -> str:
    """ "Uma Márquez" from its two parts."""
    return f"{given} {family}".strip()
