"""Machines come into a shop through its page, get another number, and leave it."""

import pytest
from django.test import Client
from django.utils import timezone

from machines.models import Machine, MachineKind
from machines.setting_up.acts.machines import retire_machine
from tests.cast import Cast
from tests.factories.banks import bank_text, make_bank
from tests.factories.machines import Floor, KindFactory


@pytest.fixture
def teacher(client: Client, floor: Floor) -> Client:
    client.force_login(floor.cast.teacher)
    return client


def rows(*machines: tuple[int, int, str]) -> dict[str, object]:
    """The numbers page as it is sent: kind, number, name of each machine."""
    sent: dict[str, object] = {"step": "add", "form-TOTAL_FORMS": len(machines), "form-INITIAL_FORMS": len(machines)}
    for place, (kind, number, name) in enumerate(machines):
        sent |= {f"form-{place}-kind": kind, f"form-{place}-number": number, f"form-{place}-name": name}
    return sent


def test_a_starter_shop_fills_in_the_counts(teacher: Client, cast: Cast) -> None:
    scroll = KindFactory(school=cast.school, code="scroll-saw", name="Scroll saw")
    page = teacher.get(f"/shops/{cast.shop.pk}/machines/add/?list=small-wood").content.decode()
    assert f'name="count-{scroll.pk}" value="4"' in page
    assert "A full wood and metal shop" in page


def test_counts_become_numbers_and_then_machines(teacher: Client, floor: Floor) -> None:
    path = f"/shops/{floor.cast.shop.pk}/machines/add/"
    look = teacher.post(path, {f"count-{floor.saw.pk}": 2}).content.decode()
    assert 'name="form-0-number" value="4"' in look
    assert 'name="form-1-number" value="5"' in look
    assert 'Number<span class="unseen"> of machine 1, band saw</span>' in look
    assert not Machine.objects.filter(number__in=[4, 5]).exists(), "looking adds nothing"
    done = teacher.post(path, rows((floor.saw.pk, 4, ""), (floor.saw.pk, 15, "Tall saw")), follow=True)
    assert "2 machines added to" in done.content.decode()
    assert [str(machine) for machine in Machine.objects.filter(number__in=[4, 15])] == ["Band saw 4", "Tall saw 15"]


def test_taken_number_shows_an_error_and_adds_nothing(teacher: Client, floor: Floor) -> None:
    path, before = f"/shops/{floor.cast.shop.pk}/machines/add/", Machine.objects.count()
    response = teacher.post(path, rows((floor.saw.pk, 9, ""), (floor.saw.pk, 2, "Kept as typed")))
    assert (response.status_code, Machine.objects.count()) == (422, before)
    assert "has the number 2." in response.content.decode()
    assert "Kept as typed" in response.content.decode()


def test_rows_that_share_a_number_are_marked_each(teacher: Client, floor: Floor) -> None:
    path = f"/shops/{floor.cast.shop.pk}/machines/add/"
    page_text = teacher.post(
        path, rows((floor.saw.pk, 9, ""), (floor.saw.pk, 2, ""), (floor.saw.pk, 9, ""))
    ).content.decode()
    for place, why in ((0, "Another new machine has the number 9."), (2, "Another new machine has the number 9.")):
        assert f'<p class="error" id="id_form-{place}-number_error">{why}</p>' in page_text
    assert f'id="id_form-1-number_error">Another machine in {floor.cast.shop.name} has the number 2.' in page_text
    assert page_text.count('aria-invalid="true"') == 3


def test_changing_the_counts_keeps_numbers_and_names(teacher: Client, floor: Floor) -> None:
    path, before = f"/shops/{floor.cast.shop.pk}/machines/add/", Machine.objects.count()
    typed = rows((floor.saw.pk, 31, "Tall saw"), (floor.saw.pk, 32, ""))
    counts = teacher.post(path, typed | {"counts": "change"}).content.decode()
    assert f'name="count-{floor.saw.pk}" value="2"' in counts
    assert '<input type="hidden" name="form-0-name" value="Tall saw"' in counts
    look = teacher.post(path, typed | {"step": "look", f"count-{floor.saw.pk}": 3}).content.decode()
    for snippet in (
        'name="form-0-number" value="31"',
        'name="form-0-name" value="Tall saw"',
        'form-2-number" value="33"',
    ):
        assert snippet in look
    assert Machine.objects.count() == before


def test_missing_counts_show_an_error(teacher: Client, floor: Floor) -> None:
    response = teacher.post(f"/shops/{floor.cast.shop.pk}/machines/add/", {"step": "look"})
    assert response.status_code == 422
    assert "Say how many machines of which kind." in response.content.decode()


def test_a_kind_of_another_school_is_not_there(teacher: Client, floor: Floor) -> None:
    path, before = f"/shops/{floor.cast.shop.pk}/machines/add/", Machine.objects.count()
    answer = teacher.post(path, rows((floor.far_saw.kind_id, 9, "")))
    assert (answer.status_code, Machine.objects.count()) == (404, before)


def test_a_machine_changes_its_number(teacher: Client, floor: Floor) -> None:
    path = f"/machines/{floor.saw_2.pk}/change/"
    assert "Band saw 12" in teacher.post(path, {"number": 12, "name": ""}, follow=True).content.decode()
    response = teacher.post(path, {"number": 3, "name": ""})
    assert (response.status_code, "has the number 3." in response.content.decode()) == (422, True)


def test_retiring_a_machine_asks_for_confirmation(teacher: Client, floor: Floor) -> None:
    path = f"/machines/{floor.saw_2.pk}/retire/"
    page = teacher.get(f"/machines/{floor.saw_2.pk}/change/").content.decode()
    assert f'action="{path}"' not in page
    assert f'href="{path}"' in page
    assert "This can’t be undone." in teacher.get(path).content.decode()
    assert Machine.objects.get(pk=floor.saw_2.pk).retired_at is None


def test_a_machine_that_left_is_off_every_page_but_its_own(teacher: Client, floor: Floor) -> None:
    done = teacher.post(f"/machines/{floor.saw_2.pk}/retire/", follow=True).content.decode()
    assert "Its record stays." in done
    assert f'href="/machines/{floor.saw_2.pk}/"' not in done
    assert "It left the shop on" in teacher.get(f"/machines/{floor.saw_2.pk}/").content.decode()
    assert teacher.post(f"/machines/{floor.saw_2.pk}/retire/").status_code == 404


def test_a_machine_that_left_is_not_there_for_students(client: Client, floor: Floor) -> None:
    retire_machine(machine=floor.saw_2, by=floor.cast.teacher, at=timezone.now())
    client.force_login(floor.cast.student)
    assert client.get(f"/machines/{floor.saw_2.pk}/").status_code == 404


def test_a_kind_is_described_for_a_bank_of_the_schools_own(teacher: Client, floor: Floor) -> None:
    bank = make_bank(floor.cast.school, bank_text(code="jig", subject="Box jig"))
    sent = {"bank": bank.pk, "name": "Box jig", "stop": "Press stop.", "protect": ["eye"]}
    assert teacher.post("/kinds/add/", sent).status_code == 422
    teacher.post("/kinds/add/", sent | {"demonstration": "Sets the key\n\n Keeps clear "})
    kind = MachineKind.objects.get(bank=bank)
    assert (kind.demonstration, kind.protect) == (["Sets the key", "Keeps clear"], ["eye"])


def test_how_a_kind_is_used_is_changed_on_its_page(teacher: Client, floor: Floor) -> None:
    path = f"/kinds/{floor.saw.pk}/change/"
    page = teacher.get(path).content.decode()
    assert "Sets the guard just above the wood\nKeeps both hands in sight" in page
    sent = {"name": "Band saw", "stop": "Press the red button.", "demonstration": "Sets the guard"}
    assert teacher.post(path, sent | {"stop": ""}).status_code == 422
    teacher.post(path, sent)
    assert MachineKind.objects.get(pk=floor.saw.pk).demonstration == ["Sets the guard"]
    assert "Press the red button." in teacher.get(f"/machines/{floor.saw_2.pk}/").content.decode()
