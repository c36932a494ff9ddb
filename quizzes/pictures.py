"""Pictures of banks: what kind a file is and how large, in the units its callouts are told in."""

import re
from hashlib import sha256

from quizzes.facts import BankText, Picture, Spot

VIEW_BOX = re.compile(rb'<svg[^>]*?\bviewBox="0 0 (\d+(?:\.\d+)?) (\d+(?:\.\d+)?)"', re.DOTALL)


class NoPicture(ValueError):
    """The file can't be shown; the message says what to do."""


def drawing(name: str, content: bytes) -> Picture:
    """The facts of a drawing from the shelf (SVG, drawn by us). Raises NoPicture."""
    found = VIEW_BOX.search(content)
    if not name.endswith(".svg") or found is None:
        raise NoPicture(f'{name} is no drawing with viewBox="0 0 width height". Draw it as SVG.')
    width, height = (round(float(side)) for side in found.groups())
    return Picture(digest=sha256(content).hexdigest(), kind="svg", width=width, height=height)


def names_in(bank: BankText) -> list[str]:
    """The pictures that a bank's text calls by name."""
    rules = {rule.picture for rule in bank.rules if rule.picture}
    return sorted(rules | {question.picture for question in bank.questions if isinstance(question, Spot)})
