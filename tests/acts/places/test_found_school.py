"""A school begins."""

from datetime import UTC, datetime
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from shopsafe.logbook.models import Entry
from shopsafe.school.models import Person, School
from shopsafe.school.places.acts.founding import found_school
from shopsafe.school.refusals import Refused

AT = datetime(2026, 8, 20, 14, 0, tzinfo=UTC)
GOOD = {
    "name": "Alderbeck School",
    "time_zone": "America/Denver",
    "office_name": "Lotte Achterberg",
    "password": "ledger on the top shelf",
    "at": AT,
}


def test_a_school_begins_with_its_office_and_an_entry(db: None) -> None:
    office = found_school(**GOOD)
    assert (office.role, office.school.name, office.check_password(GOOD["password"])) == ("office", GOOD["name"], True)
    assert Entry.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "value", "code"),
    [
        ("time_zone", "Mars/Base", "school.bad-field"),
        ("name", "  ", "school.bad-field"),
        ("password", "short", "school.weak-password"),
    ],
)
def test_refuses_and_leaves_nothing(db: None, field: str, value: str, code: str) -> None:
    with pytest.raises(Refused) as caught:
        found_school(**{**GOOD, field: value})
    assert caught.value.code == code
    assert (School.objects.count(), Person.objects.count(), Entry.objects.count()) == (0, 0, 0)


def test_two_schools_of_one_name_are_refused(db: None) -> None:
    found_school(**GOOD)
    with pytest.raises(Refused, match="already"):
        found_school(**GOOD)


def test_the_command_says_how_to_go_on(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("OFFICE_PASSWORD", "ledger on the top shelf")
    output = StringIO()
    call_command("new_school", "Alderbeck School", "--office", "Lotte Achterberg", stdout=output)
    assert 'sign in as "Lotte Achterberg"' in output.getvalue()
    with pytest.raises(CommandError, match="already"):
        call_command("new_school", "Alderbeck School", "--office", "Lotte Achterberg")
