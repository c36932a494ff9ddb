"""Every bank of the shelf: checked, large enough, easy to read, sourced, and of one mind about its numbers."""

import re
import statistics
from collections import Counter

import pytest

from quizzes.banks.corrections.rules import WHOLE, notes_of
from quizzes.banks.rules import readability
from quizzes.banks.rules.checks import check
from quizzes.facts import KINDS, Measure, Order, Pair, Spot, sentences
from tests.shelf.banks import (
    CODES,
    ROOT,
    SHELF,
    WOOD_SHOP,
    bank_of,
    each_bank,
    machine_of,
    machine_texts,
    question_texts,
    rule_texts,
)

SUBJECTS = {
    # Metal machines.
    "arc-welding", "oxy-fuel-and-plasma", "metal-lathe", "milling-machine", "sheet-metal", "metal-cutting-saws",
    "forge-and-foundry",
    "general-shop-safety", "scroll-saw", "band-saw", "drill-press", "belt-and-disc-sander", "spindle-sander",
    "mitre-saw", "table-saw", "jointer", "thickness-planer", "router-table", "wood-lathe", "bench-grinder",
    "laser-cutter", "3d-printer", "hand-tools-and-clamping", "finishing-and-glue",
    "portable-tools", "hand-held-saw-and-router", "cnc-router", "angle-grinder", "soldering-and-electronics",
    "nailers-and-compressed-air",
    "plastics",
}  # fmt: skip
NEGATIVE = re.compile(r"\b(not|never|except|cannot|(?:do|does|is|are|ca|wo|should)n't)\b", re.IGNORECASE)
PROTECT = {"eye", "ear", "dust", "face", "hair", "sleeves", "jewellery", "gloves-off", "apron", "shoes"} | {
    "helmet", "gloves-on", "cotton",
}  # fmt: skip

# (bank, check, where) → why the warning may stand.
EXPLAINED: dict[tuple[str, str, str], str] = {}


def test_the_whole_shop_is_there() -> None:
    assert set(CODES) == SUBJECTS


@each_bank
def test_the_bank_check_finds_nothing(code: str) -> None:
    findings = {
        (code, finding.check, finding.where): f"{finding.level} {finding.check} {finding.where}: {finding.sentence}"
        for finding in check(bank_of(code))
    }
    assert [text for key, text in findings.items() if key not in EXPLAINED] == []
    assert {key for key in EXPLAINED if key[0] == code} <= set(findings), "explained, and no longer found"


# ---- enough of everything --------------------------------------------------------------------------------------------


@each_bank
def test_there_is_enough_to_ask(code: str) -> None:
    bank = bank_of(code)
    asked = Counter(question.rule for question in bank.live_questions)
    kinds = Counter(question.kind for question in bank.live_questions)
    assert len(bank.live_rules) >= 12
    assert len(bank.live_questions) >= 48
    assert set(kinds) == set(KINDS)
    assert sum(isinstance(question, Order | Pair | Spot | Measure) for question in bank.live_questions) >= 6
    assert [rule.code for rule in bank.live_rules if asked[rule.code] < (4 if rule.must_ask else 2)] == []
    assert any(rule.must_ask for rule in bank.live_rules)


@each_bank
def test_every_attempt_can_ask_what_must_be_asked(code: str) -> None:
    bank = bank_of(code)
    assert sum(rule.must_ask for rule in bank.live_rules) <= bank.blueprint.ask <= len(bank.live_questions)


@each_bank
def test_no_text_stands_twice(code: str) -> None:
    bank = bank_of(code)
    asked = Counter(question.asks for question in bank.live_questions)
    says_count = Counter(rule.says for rule in bank.live_rules)
    reasons = Counter(rule.why for rule in bank.live_rules)
    assert [text for text, times in (says_count + reasons).items() if times > 1] == []
    assert [text for text, times in asked.items() if times > 2] == [], "the same stem again and again"


@each_bank
def test_the_stem_asks_without_a_negative(code: str) -> None:
    """ "Which of these is not ..." tests reading, not safety."""
    assert [question.code for question in bank_of(code).live_questions if NEGATIVE.search(question.asks)] == []


# ---- the machine -----------------------------------------------------------------------------------------------------


@each_bank
def test_a_machine_can_be_shown_checked_stopped_and_tagged_out(code: str) -> None:
    machine = machine_of(code)
    if code in ("general-shop-safety", "finishing-and-glue"):
        assert not machine, "no machine, nothing to sign off"
        return
    assert machine["code"] == code
    assert 5 <= len(machine["demonstration"]) <= 9
    assert len(set(machine["demonstration"])) == len(machine["demonstration"])
    assert set(machine["protect"]) <= PROTECT
    assert "eye" in machine["protect"]
    assert machine["stop"].strip()
    assert all(len(machine[key]) >= 3 for key in ("pre_use", "tag_out", "stop_and_ask"))
    assert (ROOT / "static" / "pictograms" / "machines" / machine["pictogram"]).is_file()


@each_bank
def test_there_are_two_drawings_at_least_and_one_to_point_at(code: str) -> None:
    bank = bank_of(code)
    pointed = {question.picture for question in bank.live_questions if isinstance(question, Spot)}
    shown = {rule.picture for rule in bank.live_rules if rule.picture}
    assert pointed
    assert len(pointed | shown) >= 2


# ---- reading ---------------------------------------------------------------------------------------------------------


def grades(code: str) -> list[float]:
    texts = [text for _, text in (*rule_texts(code), *question_texts(code), *machine_texts(code))]
    levels = [readability.grade(text) for text in (*texts, bank_of(code).about) if len(readability.words(text)) >= 3]
    return sorted(grade for grade in levels if grade is not None)


@each_bank
def test_a_twelve_year_old_can_read_it(code: str) -> None:
    grade_levels = grades(code)
    assert statistics.median(grade_levels) <= 5
    assert statistics.quantiles(grade_levels, n=10)[-1] <= 7


@each_bank
def test_no_sentence_is_long(code: str) -> None:
    every = (*rule_texts(code), *question_texts(code), *machine_texts(code))
    long = [
        f"{where}: {sentence}"
        for where, text in every
        for sentence in readability.sentences(text)
        if len(readability.words(sentence)) > 20
    ]
    assert long == []


# ---- sources ---------------------------------------------------------------------------------------------------------


def listed() -> list[list[str]]:
    rows = [line for line in (SHELF / "SOURCES.md").read_text(encoding="utf-8").splitlines() if line.startswith("| ")]
    return [[cell.strip() for cell in row.strip("|").split("|")] for row in rows[1:]]


def cited(code: str) -> set[str]:
    """Every source that the bank names; a rule with several sets them apart by a semicolon."""
    bank = bank_of(code)
    fields = [item.source for item in (*bank.live_rules, *bank.values)]
    return {source for field in fields for source in field.split("; ")}


@each_bank
def test_every_source_is_on_the_list(code: str) -> None:
    assert cited(code) <= {row[0] for row in listed()}


def test_the_list_of_sources_is_whole() -> None:
    """Title and section, year, what it supports, and whether it was read; nothing twice, nothing that no bank cites."""
    rows = listed()
    names = [row[0] for row in rows]
    assert len(set(names)) == len(names)
    assert {len(row) for row in rows} == {5}
    assert {row[4] for row in rows} <= {"read", "read in a summary", "from memory", "computed"}
    assert all(row[2] == "-" or (row[2].isdigit() and 1950 < int(row[2]) < 2030) for row in rows)
    assert all(len(row[1]) > 10 and len(row[3]) > 3 for row in rows)
    assert set(names) <= set().union(*map(cited, CODES))


@each_bank
def test_stored_value_has_a_source_and_mentions_the_shops_own_number(code: str) -> None:
    assert [value.code for value in bank_of(code).values if not value.source] == []
    assert [value.code for value in bank_of(code).values if "may set its own" not in value.note] == []


# ---- corrections -----------------------------------------------------------------------------------------------------


@each_bank
def test_each_note_on_a_correction_names_a_rule_of_the_bank(code: str) -> None:
    bank = bank_of(code)
    rows = bank.extras.get("correction", [])
    notes = notes_of(bank)
    assert len(notes) == len(rows), "a note says nothing"
    assert {note.rule for note in notes} <= {WHOLE, *bank.rule_by_code}
    assert [note.says for note in notes if not note.says.endswith(".") or len(note.says) > 160] == []
    assert len(set(notes)) == len(notes)


# ---- what decides a question, and what a card asks to recall ---------------------------------------------------------


@pytest.mark.parametrize("code", WOOD_SHOP)
def test_question_names_its_deciding_sentence_among_several(code: str) -> None:
    bank = bank_of(code)
    several = {rule.code for rule in bank.live_rules if len(sentences(rule.says)) > 1}
    assert [
        question.code for question in bank.live_questions if question.rule in several and not question.decided_by
    ] == []


@pytest.mark.parametrize("code", WOOD_SHOP)
def test_each_sentence_of_a_must_ask_rule_decides_some_question(code: str) -> None:
    bank = bank_of(code)
    for rule in bank.live_rules:
        decided = {
            number for question in bank.live_questions if question.rule == rule.code for number in question.decided_by
        }
        asked = {number for number, text in enumerate(sentences(rule.says), 1) if not text.endswith("?")}
        assert not rule.must_ask or len(asked) < 2 or asked <= decided, rule.code


# Words that fill a blank without the rule: what a card covers must carry its danger or its action.
EMPTY_WORDS = {
    "a", "an", "and", "any", "at", "before", "by", "down", "each", "first", "for", "from", "in", "into", "it", "little",
    "no", "of", "off", "on", "one", "only", "over", "own", "past", "see", "side", "sides", "the", "then", "time", "to",
    "two", "under", "until", "up", "with", "yes", "your",
}  # fmt: skip


@pytest.mark.parametrize("code", WOOD_SHOP)
def test_covered_word_carries_the_danger_or_the_action(code: str) -> None:
    empty = [
        f"{rule.code}: {key}"
        for rule in bank_of(code).live_rules
        if rule.recall
        for key in rule.recall.key
        if set(key.casefold().split()) <= EMPTY_WORDS
    ]
    assert empty == []


@pytest.mark.parametrize("code", WOOD_SHOP)
def test_covered_word_is_on_the_card(code: str) -> None:
    """Else reading the card would not help: the first of the words that fill the blank is in the rule or its reason."""
    missing = [
        f"{rule.code}: {rule.recall.key[0]}"
        for rule in bank_of(code).live_rules
        if rule.recall and rule.recall.key[0].casefold() not in f"{rule.says} {rule.why}".casefold()
    ]
    assert missing == []


@pytest.mark.parametrize("code", WOOD_SHOP)
def test_no_two_cards_of_a_bank_cover_the_same_sentence(code: str) -> None:
    texts = Counter(rule.recall.text for rule in bank_of(code).live_rules if rule.recall)
    assert [text for text, times in texts.items() if times > 1] == []
