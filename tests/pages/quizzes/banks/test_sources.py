"""The page of sources: edition or year, how far each was checked, and what rests on it."""

from dataclasses import replace

from django.test import Client
from django.urls import reverse

from quizzes.facts import BankText
from tests.cast import Cast
from tests.factories.banks import bank_text, make_bank, published

LISTED, OWN = "29 CFR 1910.215(a)(4)", "Alderbeck shop manual, page 4"


def with_sources(code: str, *sources: str) -> BankText:
    text = bank_text(code=code, rules=len(sources))
    rules = tuple(replace(rule, source=source) for rule, source in zip(text.rules, sources, strict=True))
    return replace(text, rules=rules)


def page_of(client: Client, name: str = "bank-sources", *args: int) -> str:
    return client.get(reverse(name, args=args)).content.decode()


def test_listed_source_stands_with_its_document_year_and_status(teacher: Client, cast: Cast) -> None:
    bank = published(cast.teacher, with_sources("grinder", LISTED))
    page = page_of(teacher)
    for text in (LISTED, "OSHA abrasive wheels: work rest within 1/8 in", "1974", ">read<"):
        assert text in page
    assert reverse("bank-sources-of", args=[bank.pk]) in page


def test_source_of_the_school_is_marked_beside_those_on_the_list(teacher: Client, cast: Cast) -> None:
    published(cast.teacher, with_sources("grinder", OWN))
    page = page_of(teacher)
    assert OWN in page
    assert "your school’s" in page.split("<tbody>")[1]


def test_page_of_a_bank_names_its_rules_alone(teacher: Client, cast: Cast) -> None:
    bank = published(cast.teacher, with_sources("grinder", LISTED, OWN))
    published(cast.teacher, with_sources("lathe", "Lathe manual, page 2"))
    page = page_of(teacher, "bank-sources-of", bank.pk)
    assert "Keep rule number 0." in page
    assert "Keep rule number 1." in page
    assert "Lathe manual" not in page
    assert "Lathe manual" in page_of(teacher)


def test_page_is_plain_when_nothing_is_published(teacher: Client, cast: Cast) -> None:
    make_bank(cast.teacher.school)
    assert "No bank is published yet." in page_of(teacher)


def test_bank_list_and_bank_lead_to_the_sources(teacher: Client, cast: Cast) -> None:
    bank = published(cast.teacher)
    assert reverse("bank-sources") in page_of(teacher, "banks")
    assert reverse("bank-sources-of", args=[bank.pk]) in page_of(teacher, "bank", bank.pk)
    assert reverse("bank-sources-of", args=[bank.pk]) in page_of(teacher, "bank-accept", bank.pk)
