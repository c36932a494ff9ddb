"""Corrections of starter banks: offered once, taken by rule as an edition, declined with a reason; earlier passes."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.http import Http404

from quizzes.attempts.acts import start_attempt
from quizzes.banks.corrections.acts import decline_corrections, offer_corrections, take_corrections
from quizzes.banks.corrections.queries import waiting_corrections
from quizzes.banks.draft_rows import draft_of, draft_text
from quizzes.banks.editions.acts import accept_bank, set_value
from quizzes.banks.editions.starter_banks import load_shelf
from quizzes.banks.editions.texts import text_of
from quizzes.banks.files.rules.toml_file import write_bank
from quizzes.banks.rules.own_numbers import OwnNumber
from quizzes.facts import BankText
from quizzes.models import Bank, StarterCorrection
from quizzes.relearning.queries import passes
from shopsafe.logbook.models import Listing
from shopsafe.school.refusals import Refused
from tests.cast import Cast
from tests.factories.bank_texts import a_rule
from tests.factories.banks import AT, DAY, MINUTE, bank_text, kinds_text, take

LATER = AT + DAY


def write(shelf: Path, text: BankText) -> Path:
    (shelf / "pictures").mkdir(exist_ok=True)
    (shelf / f"{text.code}.toml").write_text(write_bank(text), encoding="utf-8")
    return shelf


def corrected(text: BankText, rule: str = "r1", **more: Any) -> BankText:
    """The rule with another reason, and a note that says so."""
    rules = tuple(
        replace(text_rule, why="Its new reason.") if text_rule.code == rule else text_rule for text_rule in text.rules
    )
    note = {"rule": rule, "says": "The reason is a new one."}
    return replace(text, rules=rules, extras={**text.extras, "correction": [note]}, **more)


@pytest.fixture
def shelf(tmp_path: Path, cast: Cast) -> Path:
    """The school has the starter bank; a teacher approved it."""
    write(tmp_path, bank_text())
    (bank,) = load_shelf(school=cast.school, shelf=tmp_path, at=AT - DAY)
    accept_bank(by=cast.teacher, bank=bank.pk, edition=1, at=AT - DAY)
    return tmp_path


@pytest.fixture
def offer(cast: Cast, shelf: Path) -> StarterCorrection:
    (offer,) = offer_corrections(school=cast.school, shelf=write(shelf, corrected(bank_text())), at=LATER)
    return offer


def take_it(offer: StarterCorrection, by: Any, **more: Any) -> Any:
    fields = {"edition": 1, "rules": ["r1"], "earlier": "count", "accept": True, "at": LATER + MINUTE}
    return take_corrections(by=by, correction=offer.pk, **(fields | more))


# ---- offered ---------------------------------------------------------------------------------------------------------


def test_corrected_bank_is_offered_by_rule(cast: Cast, offer: StarterCorrection) -> None:
    (waiting,) = waiting_corrections(cast.teacher)
    assert waiting.pk == offer.pk
    assert waiting.summary == [
        {"rule": "r1", "says": "Keep rule number 1.", "how": "changed", "notes": ["The reason is a new one."]}
    ]
    assert offer.bank.editions.count() == 1
    assert Listing.objects.filter(kind="bank.correction_offered").count() == 1


def test_offer_is_made_once(cast: Cast, shelf: Path, offer: StarterCorrection) -> None:
    assert offer_corrections(school=cast.school, shelf=shelf, at=LATER) == []
    assert offer_corrections(school=cast.stranger_school, shelf=shelf, at=LATER) == []


def test_bank_as_the_school_has_it_is_not_offered(cast: Cast, shelf: Path) -> None:
    assert offer_corrections(school=cast.school, shelf=shelf, at=LATER) == []


def test_later_correction_takes_the_place_of_one_that_waits(cast: Cast, shelf: Path, offer: StarterCorrection) -> None:
    later = corrected(corrected(bank_text()), "r2")
    offer_corrections(school=cast.school, shelf=write(shelf, later), at=LATER)
    (waiting,) = waiting_corrections(cast.teacher)
    assert [row["rule"] for row in waiting.summary] == ["r1", "r2"]


def test_own_bank_of_the_same_code_is_left_alone(cast: Cast, tmp_path: Path) -> None:
    write(tmp_path, bank_text())
    load_shelf(school=cast.school, shelf=tmp_path, at=AT - DAY, by=cast.teacher)  # a teacher's own, not the program's
    assert offer_corrections(school=cast.school, shelf=write(tmp_path, corrected(bank_text())), at=LATER) == []


# ---- taken -----------------------------------------------------------------------------------------------------------


def test_taken_correction_is_the_next_edition_and_in_the_draft(cast: Cast, offer: StarterCorrection) -> None:
    edition = take_it(offer, cast.teacher)
    assert (edition.number, edition.acceptances.get().by) == (2, cast.teacher)
    assert text_of(edition).bank.rule_by_code["r1"].why == "Its new reason."
    assert draft_of(Bank.objects.get(pk=edition.bank_id)).bank == text_of(edition).bank
    assert edition.correction.taken_rows == offer.summary
    assert waiting_corrections(cast.teacher) == []
    assert Listing.objects.filter(kind="bank.corrected").count() == 1


def test_only_the_chosen_rules_change(cast: Cast, shelf: Path) -> None:
    both = corrected(corrected(bank_text()), "r2")
    (offer,) = offer_corrections(school=cast.school, shelf=write(shelf, both), at=LATER)
    rules = text_of(take_it(offer, cast.teacher, rules=["r2"])).bank.rule_by_code
    assert (rules["r1"].why == "Its new reason.", rules["r2"].why == "Its new reason.") == (False, True)


@pytest.mark.parametrize(("earlier", "ends"), [("count", None), ("stop", LATER + MINUTE)])
def test_earlier_passes_count_as_the_teacher_says(
    cast: Cast, offer: StarterCorrection, earlier: str, ends: Any
) -> None:
    take(cast.student, offer.bank, AT)
    take_it(offer, cast.teacher, earlier=earlier)
    assert [quiz_pass.counts_until for quiz_pass in passes([cast.student.pk], LATER + DAY)] == [ends]


def test_open_attempt_keeps_the_text_it_began_with(cast: Cast, offer: StarterCorrection) -> None:
    attempt = start_attempt(student=cast.student, bank=offer.bank_id, at=LATER)
    take_it(offer, cast.teacher)
    assert text_of(attempt.edition).bank.rule_by_code["r1"].why != "Its new reason."


def test_own_number_and_own_rule_stay(cast: Cast, tmp_path: Path) -> None:
    write(tmp_path, kinds_text())
    (bank,) = load_shelf(school=cast.school, shelf=tmp_path, at=AT - DAY)
    own = OwnNumber(amounts=("3",), unit="mm", source="manual")
    set_value(by=cast.teacher, bank=bank.pk, edition=1, value="guard-gap", own=own, earlier="count", at=AT)
    bank.refresh_from_db()
    draft = draft_of(bank).bank
    bank.draft = draft_text(replace(draft, rules=(*draft.rules, a_rule("own", says="Mind our door."))))
    bank.save(update_fields=["draft"])
    text = kinds_text()
    gap = replace(text.value_by_code["guard-gap"], bound="at most")
    (offer,) = offer_corrections(school=cast.school, shelf=write(tmp_path, replace(text, values=(gap,))), at=LATER)
    edition = take_it(offer, cast.teacher, edition=2, rules=[row["rule"] for row in offer.summary])
    value = text_of(edition).bank.value_by_code["guard-gap"]
    assert (value.reads, value.bound) == ("3 mm", "at most")
    bank.refresh_from_db()
    assert "own" in draft_of(bank).bank.rule_by_code
    assert "own" not in text_of(edition).bank.rule_by_code


def test_second_correction_is_compared_with_the_one_that_was_taken(
    cast: Cast, shelf: Path, offer: StarterCorrection
) -> None:
    take_it(offer, cast.teacher)
    later = corrected(corrected(bank_text()), "r2")
    (second,) = offer_corrections(school=cast.school, shelf=write(shelf, later), at=LATER + DAY)
    assert [row["rule"] for row in second.summary] == ["r2"]


# ---- declined and refused --------------------------------------------------------------------------------------------


def test_declined_correction_changes_nothing_and_is_not_offered_again(
    cast: Cast, shelf: Path, offer: StarterCorrection
) -> None:
    decline_corrections(by=cast.teacher, correction=offer.pk, reason="Our manual differs.", at=LATER)
    assert offer.bank.editions.count() == 1
    assert waiting_corrections(cast.teacher) == []
    assert offer_corrections(school=cast.school, shelf=shelf, at=LATER) == []
    assert Listing.objects.filter(kind="bank.correction_declined").count() == 1


def code_of(offer: StarterCorrection, by: Any, **more: Any) -> str:
    with pytest.raises(Refused) as caught:
        take_it(offer, by, **more)
    return caught.value.code


@pytest.mark.parametrize(
    ("more", "code"),
    [
        ({"rules": []}, "correction.nothing"),
        ({"rules": ["nowhere"]}, "correction.nothing"),
        ({"edition": 7}, "correction.newer"),
        ({"earlier": "maybe"}, "publish.earlier"),
        ({"earlier": "until"}, "publish.until"),
    ],
)
def test_choice_that_makes_no_sense_is_refused(
    cast: Cast, offer: StarterCorrection, more: dict[str, Any], code: str
) -> None:
    assert code_of(offer, cast.teacher, **more) == code
    assert offer.bank.editions.count() == 1


def test_second_decision_is_refused(cast: Cast, offer: StarterCorrection) -> None:
    take_it(offer, cast.teacher)
    assert code_of(offer, cast.teacher, edition=2) == "correction.decided"
    with pytest.raises(Refused, match="a moment ago"):
        decline_corrections(by=cast.teacher, correction=offer.pk, reason="Late.", at=LATER + DAY)


def test_declining_needs_a_reason(cast: Cast, offer: StarterCorrection) -> None:
    with pytest.raises(Refused) as caught:
        decline_corrections(by=cast.teacher, correction=offer.pk, reason=" ", at=LATER)
    assert caught.value.code == "correction.reason"


def test_refuses_everyone_but_teachers_of_the_school(cast: Cast, offer: StarterCorrection) -> None:
    for person in (cast.student, cast.substitute, cast.office):
        assert code_of(offer, person) == "access.not-yours"
        with pytest.raises(Refused):
            decline_corrections(by=person, correction=offer.pk, reason="No.", at=LATER)
    with pytest.raises(Http404):
        take_it(offer, cast.stranger_teacher)
    with pytest.raises(Http404):
        decline_corrections(by=cast.stranger_teacher, correction=offer.pk, reason="No.", at=LATER)
