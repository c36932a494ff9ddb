"""How a command finds a class: by primary key or by name, and never by luck."""

import pytest

from shopsafe.school.lookup import section_by_pk_or_name
from shopsafe.school.refusals import Refused
from tests.cast import Cast
from tests.factories.people import SectionFactory, TermFactory


def refused(text: str) -> Refused:
    with pytest.raises(Refused) as caught:
        section_by_pk_or_name(text)
    return caught.value


def test_class_is_found_by_primary_key_or_name(cast: Cast) -> None:
    assert section_by_pk_or_name(str(cast.section.pk)) == cast.section
    assert section_by_pk_or_name(cast.section.name) == cast.section
    assert section_by_pk_or_name(f" {cast.section.name.upper()} ") == cast.section


def test_an_unknown_class_is_refused(cast: Cast) -> None:
    assert refused("No one's class").code == "class.unknown"
    assert refused("9" * 40).code == "class.unknown"


def test_a_name_of_two_classes_is_refused_with_their_numbers(cast: Cast) -> None:
    other = SectionFactory(shop=cast.shop, term=TermFactory(school=cast.school), name=cast.section.name)
    refusal = refused(cast.section.name)
    assert refusal.code == "class.ambiguous"
    assert f"{cast.section.pk} is " in refusal.sentence
    assert f"{other.pk} is " in refusal.sentence


def test_a_name_that_is_another_class_s_number_is_refused(cast: Cast) -> None:
    SectionFactory(shop=cast.shop, name=str(cast.section.pk))
    assert refused(str(cast.section.pk)).code == "class.ambiguous"
