"""What a corrected starter bank changes for a school, rule by rule, and the school's bank with what it takes of that.

Three texts: `base`, the starter bank as the school got it; `new`, the corrected one; `shop`, what the school has now.
What belongs to no rule (the head, the quiz, the lists of the machine) is under WHOLE.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import chain
from typing import Any, assert_never

from quizzes.banks.rules.changes import ChangedItem, Difference, HowChanged, differences
from quizzes.facts import BankPicture, BankText, EditionText, Measure, Question, Rule, Spot, Value
from shopsafe.language.messages import _, counted, marked

WHOLE = ""
AS_A_WHOLE = marked("The bank as a whole")  # kept with an offer, and looked up where it is shown
NOTES = "correction"  # the table of a bank file that says what was corrected: rows of `rule` and `says`


@dataclass(frozen=True)
class CorrectionNote:
    """One sentence of the bank file on what was corrected; `rule` is WHOLE for the bank as a whole."""

    rule: str
    says: str


@dataclass(frozen=True, kw_only=True)
class RuleCorrection:
    """What is corrected of one rule, its questions, numbers and pictures."""

    rule: str
    says: str  # AS_A_WHOLE, or the rule
    how: HowChanged  # of the rule itself: added, left out or changed
    notes: tuple[str, ...]
    differences: tuple[Difference, ...]
    own: tuple[Difference, ...]  # what the school had changed of the same items: taking them replaces that

    @property
    def title(self) -> str:
        return self.says if self.rule else _(self.says)

    @property
    def replaces_own(self) -> bool:
        return bool(self.own)


def summary_of(corrections: Collection[RuleCorrection]) -> list[dict[str, Any]]:
    """What Today tells of an offer: plain rows, kept with it."""
    return [
        {"rule": correction.rule, "says": correction.says, "how": correction.how, "notes": list(correction.notes)}
        for correction in corrections
    ]


def notes_of(bank: BankText) -> tuple[CorrectionNote, ...]:
    """The notes of the bank file, in its order; rows that say nothing are left out."""
    rows = bank.extras.get(NOTES, ())
    rows = rows if isinstance(rows, list | tuple) else ()
    note_rows = [row for row in rows if isinstance(row, Mapping) and isinstance(row.get("says"), str)]
    return tuple(CorrectionNote(rule=str(row.get("rule", WHOLE)), says=row["says"]) for row in note_rows)


def corrections_of(base: EditionText, new: EditionText, shop: EditionText) -> tuple[RuleCorrection, ...]:
    """The corrections that the shop does not have yet: the bank as a whole first, then by rule in the new order."""
    changed = [change for change in _all_differences(base, new) if not _has_already(shop, new, change)]
    by_rule: dict[str, list[Difference]] = {}
    for change in changed:
        by_rule.setdefault(rule_of(change, base.bank, new.bank), []).append(change)
    own: dict[tuple[str, str], Difference] = {
        (change.what, change.code): change for change in _all_differences(base, shop)
    }
    order = [WHOLE, *new.bank.rule_by_code, *base.bank.rule_by_code]
    return tuple(
        _correction(rule, by_rule[rule], own, base.bank, new.bank) for rule in dict.fromkeys(order) if rule in by_rule
    )


def _correction(
    rule: str, changes: list[Difference], own: Mapping[tuple[str, str], Difference], base: BankText, new: BankText
) -> RuleCorrection:
    known = new.rule_by_code.get(rule) or base.rule_by_code.get(rule)
    how = next(
        (change.how for change in changes if (change.what, change.code) == (ChangedItem.RULE, rule)), HowChanged.CHANGED
    )
    replaced = [own[key] for change in changes if (key := (change.what, change.code)) in own]
    return RuleCorrection(
        rule=rule,
        says=known.says if known else AS_A_WHOLE,
        how=how,
        notes=tuple(note.says for note in notes_of(new) if note.rule == rule and note not in notes_of(base)),
        differences=tuple(changes),
        own=tuple(replaced),
    )


def rule_of(change: Difference, *banks: BankText) -> str:
    """The rule to which a difference belongs, by the first of the banks that knows."""
    return next((rule for bank in reversed(banks) if (rule := _rule_in(change, bank)) != WHOLE), WHOLE)


def _rule_in(change: Difference, bank: BankText) -> str:
    match change.what:
        case ChangedItem.RULE:
            return change.code if change.code in bank.rule_by_code else WHOLE
        case ChangedItem.QUESTION:
            question = bank.question_by_code.get(change.code)
            return question.rule if question else WHOLE
        case ChangedItem.VALUE:
            return _rule_of_value(change.code, bank)
        case ChangedItem.PICTURE:
            return next((item_rule(item) for item in shown_with(change.code, bank)), WHOLE)
        case ChangedItem.BANK | ChangedItem.BLUEPRINT | ChangedItem.MACHINE:
            return WHOLE
    assert_never(change.what)


def _rule_of_value(code: str, bank: BankText) -> str:
    value = bank.value_by_code.get(code)
    if value and value.rule:
        return value.rule
    asking = (question for question in bank.questions if isinstance(question, Measure) and question.value == code)
    return next((question.rule for question in asking), WHOLE)


def shown_with(picture: str, bank: BankText) -> list[Rule | Question]:
    """The rules and questions that show the picture."""
    items: list[Rule | Question] = [rule for rule in bank.rules if rule.picture == picture]
    return items + [
        question for question in bank.questions if isinstance(question, Spot) and question.picture == picture
    ]


def item_rule(item: Rule | Question) -> str:
    return item.rule if isinstance(item, Question) else item.code


def _all_differences(before: EditionText, after: EditionText) -> Iterator[Difference]:
    yield from differences(before.bank, after.bank)
    for name, picture in after.pictures.items():
        if name in before.pictures and before.pictures[name].digest != picture.digest:
            yield Difference(HowChanged.CHANGED, ChangedItem.PICTURE, name, _("A new drawing: {picture}", picture=name))
    for key, table in after.bank.extras.items():
        if key != NOTES and before.bank.extras.get(key) != table:
            yield Difference(
                HowChanged.CHANGED, ChangedItem.MACHINE, key, _("What is checked before use, shown, and tagged out")
            )


def _has_already(shop: EditionText, new: EditionText, change: Difference) -> bool:
    """True where the shop's own text has the item just as the corrected bank has it."""
    match change.what:
        case ChangedItem.RULE:
            return shop.bank.rule_by_code.get(change.code) == new.bank.rule_by_code.get(change.code)
        case ChangedItem.QUESTION:
            return shop.bank.question_by_code.get(change.code) == new.bank.question_by_code.get(change.code)
        case ChangedItem.VALUE:
            return shop.bank.value_by_code.get(change.code) == new.bank.value_by_code.get(change.code)
        case ChangedItem.PICTURE:
            return shop.pictures.get(change.code) == new.pictures.get(change.code)
        case ChangedItem.MACHINE:
            return bool(shop.bank.extras.get(change.code) == new.bank.extras.get(change.code))
        case ChangedItem.BANK | ChangedItem.BLUEPRINT:
            return False
    assert_never(change.what)


# ---- the bank with what the school takes -----------------------------------------------------------------------------


def merged(base: EditionText, new: EditionText, shop: EditionText, taken: Collection[str]) -> EditionText:
    """The shop's bank with the corrections of the rules in `taken`; what it changed elsewhere stays.

    A number that the shop has set as its own is kept, in the place of the corrected bank's.
    """
    chosen = [
        change
        for correction in corrections_of(base, new, shop)
        if correction.rule in taken
        for change in correction.differences
    ]
    take = {(change.what, change.code) for change in chosen}
    bank = _with_whole(shop.bank, base.bank, new.bank) if WHOLE in taken else shop.bank
    bank = replace(
        bank,
        rules=_put_all(bank.rules, new.bank.rules, take, ChangedItem.RULE),
        questions=_put_all(bank.questions, new.bank.questions, take, ChangedItem.QUESTION),
        values=tuple(_values(bank, base.bank, new.bank, take)),
        extras={**bank.extras, NOTES: new.bank.extras[NOTES]} if NOTES in new.bank.extras else bank.extras,
    )
    return _with_pictures(_without_idle(bank, new.bank, take), new, shop, take)


def _with_whole(shop: BankText, base: BankText, new: BankText) -> BankText:
    """The head, the quiz and the lists, where the corrected bank changed them."""
    head = {
        name: getattr(new, name) for name in ("subject", "about", "after") if getattr(base, name) != getattr(new, name)
    }
    quiz = {
        name: getattr(new.blueprint, name)
        for name in ("ask", "wait_minutes", "misses_a_day")
        if getattr(base.blueprint, name) != getattr(new.blueprint, name)
    }
    extras = {key: item for key, item in new.extras.items() if base.extras.get(key) != item}
    return replace(shop, **head, blueprint=replace(shop.blueprint, **quiz), extras={**shop.extras, **extras})


def _put_all[Item: (Rule, Question)](
    items: tuple[Item, ...], new: tuple[Item, ...], take: Collection[tuple[str, str]], what: str
) -> tuple[Item, ...]:
    """The items with those taken from `new`, in the order of `new`; what only the shop has comes after."""
    fresh: dict[str, Item] = {item.code: item for item in new}
    have: dict[str, Item] = {item.code: item for item in items}
    for code in {code for kind, code in take if kind == what}:
        if code in fresh:
            have[code] = fresh[code]
        elif code in have:
            have[code] = replace(have[code], retired=True)
    codes = [code for code in dict.fromkeys(chain(fresh, have)) if code in have]
    return tuple(have[code] for code in codes)


def _values(bank: BankText, base: BankText, new: BankText, take: Collection[tuple[str, str]]) -> Iterator[Value]:
    for code in dict.fromkeys(chain(new.value_by_code, bank.value_by_code)):
        own, fresh = bank.value_by_code.get(code), new.value_by_code.get(code)
        if (ChangedItem.VALUE, code) in take and fresh is not None:
            yield _keeping_own(own, base.value_by_code.get(code), fresh)
        elif own is not None:
            yield own


def _keeping_own(own: Value | None, first: Value | None, fresh: Value) -> Value:
    """The corrected value, with the shop's own number where it has set one that still fits."""
    if own is None or first is None or own.reads == first.reads or len(own.amounts) != len(fresh.amounts):
        return fresh
    if own.unit != fresh.unit and own.unit == first.unit:
        return fresh
    number: dict[str, Any] = {"unit": own.unit, "source": own.source, "note": own.note}
    if fresh.table:
        sizes = [size for size, _amount in fresh.table]
        return replace(fresh, table=tuple(zip(sizes, own.amounts, strict=True)), **number)
    return replace(fresh, amount=own.amount, **number)


def _without_idle(bank: BankText, new: BankText, take: Collection[tuple[str, str]]) -> BankText:
    """Without the values that the corrected bank has given up, and without retired questions on them.

    Two numbers for one thing would stand side by side. A value that a live question still asks for stays.
    """
    asked = {question.value for question in bank.live_questions if isinstance(question, Measure)}
    idle = {code for what, code in take if what == ChangedItem.VALUE and code not in new.value_by_code} - asked
    return replace(
        bank,
        values=tuple(value for value in bank.values if value.code not in idle),
        questions=tuple(
            question for question in bank.questions if not (isinstance(question, Measure) and question.value in idle)
        ),
    )


def _with_pictures(
    bank: BankText, new: EditionText, shop: EditionText, take: Collection[tuple[str, str]]
) -> EditionText:
    """Pictures follow the items that show them. Where an item that is not taken shows the same name, the corrected
    drawing gets a name of its own: its places belong to the old one."""
    pictures: dict[str, BankPicture] = dict(shop.pictures)
    for name, picture in new.pictures.items():
        showing = shown_with(name, bank)
        taken = [item for item in showing if _is_taken(item, name, new.bank, take)]
        if not taken or shop.pictures.get(name) == picture:
            pictures.setdefault(name, picture)
        elif len(taken) == len(showing) or name not in shop.pictures:
            pictures[name] = picture
        else:
            stem, _dot, kind = name.rpartition(".")
            own = f"{stem}-{picture.digest[:6]}.{kind}"
            pictures[own] = picture
            bank = _renamed(bank, {item.code for item in taken}, name, own)
    return EditionText(bank=bank, pictures=pictures)


def _is_taken(item: Rule | Question, picture: str, new: BankText, take: Collection[tuple[str, str]]) -> bool:
    what = ChangedItem.QUESTION if isinstance(item, Question) else ChangedItem.RULE
    fresh = new.question_by_code.get(item.code) if what == ChangedItem.QUESTION else new.rule_by_code.get(item.code)
    return fresh == item and ((what, item.code) in take or (ChangedItem.PICTURE, picture) in take)


def _renamed(bank: BankText, codes: Collection[str], old: str, own: str) -> BankText:
    rules = tuple(
        replace(rule, picture=own) if rule.code in codes and rule.picture == old else rule for rule in bank.rules
    )
    questions = tuple(
        replace(question, picture=own)
        if isinstance(question, Spot) and question.code in codes and question.picture == old
        else question
        for question in bank.questions
    )
    return replace(bank, rules=rules, questions=questions)


def what_is_new(corrections: Collection[RuleCorrection]) -> str:
    """In a few words: how many rules are corrected, new and given up."""
    counts = {
        marked("{number} corrected"): sum(
            correction.how == HowChanged.CHANGED and correction.rule != WHOLE for correction in corrections
        ),
        marked("{number} new"): sum(correction.how == HowChanged.ADDED for correction in corrections),
        marked("{number} given up"): sum(correction.how == HowChanged.GONE for correction in corrections),
    }
    total = sum(counts.values())
    if not total:
        return _("the bank as a whole")
    parts = ", ".join(_(words, number=number) for words, number in counts.items() if number)
    return counted("{count} rule: {parts}", "{count} rules: {parts}", count=total, parts=parts)
