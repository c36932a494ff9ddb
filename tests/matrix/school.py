"""Who gets in where: people and classes."""

from tests.matrix import EVERYONE, SIGNED_IN, Door, get, post

ROUTES: dict[str, Door | list[Door]] = {
    "home": get(*SIGNED_IN, gets=(302,)),
    "sign-in": [get(*EVERYONE), post(*EVERYONE, gets=(422,))],
    "sign-out": post(*EVERYONE, gets=(302,)),
    "look": [get(*EVERYONE), post(*EVERYONE, gets=(302, 422))],
}
