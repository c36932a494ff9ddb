"""The list of sources as it is read, and what of a bank rests on each."""

from dataclasses import replace

from quizzes.banks.sources.rules import Source, cited, read_list
from tests.factories.bank_texts import GAP, a_bank, a_one, a_rule

LIST = """# Sources

| source | document and section | year | supports | status |
|---|---|---|---|---|
| common practice | Taught in school shops. | - | Rules of the trade | from memory |
| 29 CFR 1910.215(a)(4) | Abrasive wheels: work rest within 1/8 in | 1974 | Work rest | read |
"""


def test_each_row_of_the_list_is_a_source() -> None:
    assert read_list(LIST) == {
        "common practice": Source(
            name="common practice",
            document="Taught in school shops.",
            supports="Rules of the trade",
            status="from memory",
        ),
        "29 CFR 1910.215(a)(4)": Source(
            name="29 CFR 1910.215(a)(4)",
            document="Abrasive wheels: work rest within 1/8 in",
            year="1974",
            supports="Work rest",
            status="read",
        ),
    }


def test_rules_and_numbers_stand_with_each_of_their_sources() -> None:
    rules = (
        a_rule("low", says="Set the guard low.", source="manual, page 3; common practice"),
        a_rule("shut", says="Shut the doors.", source="common practice"),
        a_rule("gone", says="No longer.", source="an old book", retired=True),
    )
    bank = a_bank(rules=rules, questions=(a_one("q", "low"),), values=(replace(GAP, source="manual, page 3"),))
    assert cited(bank) == {
        "manual, page 3": ["Set the guard low.", f"{GAP.says}: {GAP.reads}"],
        "common practice": ["Set the guard low.", "Shut the doors."],
    }
