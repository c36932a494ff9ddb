"""How pages look to one reader: a few words kept in a cookie. Rules: no Django."""

COOKIE = "look"
# choice → the words it may have; the first is the usual one and is not kept.
CHOICES: dict[str, tuple[str, ...]] = {
    "colours": ("device", "light", "dark"),
    "size": ("usual", "larger", "largest"),
    "space": ("close", "roomy"),
}


def from_cookie(cookie: str) -> dict[str, str]:
    """The choice of each sort in a cookie; what it does not know is the usual one. Never raises."""
    words = set(cookie.split())
    return {sort: next((w for w in options[1:] if w in words), options[0]) for sort, options in CHOICES.items()}


def as_cookie(chosen: dict[str, str]) -> str:
    """The cookie that `from_cookie` gives back; words that are no choice are left out."""
    return " ".join(chosen[sort] for sort, options in CHOICES.items() if chosen.get(sort) in options[1:])
