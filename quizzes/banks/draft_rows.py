"""A bank's draft in and out of its row."""

import json
from collections.abc import Mapping
from typing import Any

from quizzes.banks.rules.data import from_data, to_data
from quizzes.facts import BankPicture, BankText, EditionText
from quizzes.models import Bank


def draft_of(bank: Bank) -> EditionText:
    pictures = {name: BankPicture(**facts) for name, facts in bank.draft_pictures.items()}
    return EditionText(bank=from_data(json.loads(bank.draft)), pictures=pictures)


def draft_text(bank: BankText) -> str:
    """What goes into the row: JSON in the order of a bank file, so that an export reads like one."""
    return json.dumps(to_data(bank), ensure_ascii=False)


def picture_data(pictures: Mapping[str, BankPicture]) -> dict[str, Any]:
    return {
        name: {"digest": picture.digest, "kind": picture.kind, "width": picture.width, "height": picture.height}
        for name, picture in pictures.items()
    }
