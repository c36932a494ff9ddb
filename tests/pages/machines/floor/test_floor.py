"""The floor page: what its tiles say, two taps to give a machine, what keeps off, and how many queries it asks."""

import uuid
from datetime import timedelta

import pytest
import time_machine
from django.test import Client

from machines.floor.acts.helpers import name_helper
from machines.floor.acts.settings import order_tiles
from machines.floor.acts.waiting import join_waiting
from machines.holds.acts import place_hold
from machines.models import Run, ShopOpening, SignOff
from machines.reports.hazards.acts import Sighting, report_hazard
from machines.tag_outs.acts import tag_out
from shopsafe.school.models import Person
from tests.cast import Cast
from tests.counting import queries
from tests.factories.machines import NOON, POINTS, Floor, MachineFactory
from tests.factories.people import EnrollmentFactory
from tests.factories.shop_in_use import given, keep_runs, opened, running
from tests.factories.substitutes import granted, with_number
from tests.pages.machines.reading import main_of

MOST_QUERIES = 8


def signed_in(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def address(cast: Cast, more: str = "") -> str:
    return f"/shops/{cast.shop.pk}/floor/{more}"


def press(client: Client, url: str, **fields: object) -> int:
    """The status of one press of a button with a key of its own."""
    return client.post(url, {"tap": str(uuid.uuid4()), **fields}).status_code


def test_closed_shop_keeps_off_every_machine_and_offers_to_open(teacher: Client, floor: Floor) -> None:
    page = main_of(teacher.get(address(floor.cast)))
    assert page.count('class="tile keep-off"') == 3
    assert "The shop is closed." in page
    assert f"Open for {floor.cast.section.name}" in page
    assert press(teacher, f"/shops/{floor.cast.shop.pk}/open/", section=floor.cast.section.pk) == 302
    assert ShopOpening.objects.get().section == floor.cast.section


def test_two_taps_give_a_machine(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    floor.make_cleared(cast.student)
    keep_runs(cast.shop)
    opened(floor, at=None)
    page = main_of(teacher.get(address(cast)))
    assert f'href="{address(cast)}?give={floor.saw_2.pk}"' in page
    page = main_of(teacher.get(address(cast, f"?give={floor.saw_2.pk}")))
    assert f'name="student" value="{cast.student.pk}"' in page
    assert f'value="{cast.classmate.pk}"' not in page
    assert press(teacher, f"/machines/{floor.saw_2.pk}/give/", student=cast.student.pk) == 302
    assert "is checking it first" in main_of(teacher.get(address(cast)))


def test_second_of_two_reads_on_the_floor_who_has_it(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    for student in (cast.student, cast.classmate):
        floor.make_cleared(student)
    opened(floor, at=None)
    given(floor, cast.student, at=None)
    answer = teacher.post(f"/machines/{floor.saw_2.pk}/give/", {"student": cast.classmate.pk, "tap": uuid.uuid4()})
    assert answer.status_code == 409
    assert f"{cast.student.name} is at band saw 2." in main_of(answer)


def test_student_checks_starts_and_stops(floor: Floor) -> None:
    cast, student = floor.cast, signed_in(floor.cast.student)
    floor.make_cleared(cast.student)
    opened(floor, at=None)
    run = given(floor, cast.student, at=None)
    page = main_of(student.get(f"/runs/{run.pk}/check/"))
    assert "I checked all four" in page
    assert "I checked all two" in page
    assert press(student, f"/runs/{run.pk}/check/", me="on") == 422
    lines = page.split('name="lines" value="')[1].split('"')[0]
    assert press(student, f"/runs/{run.pk}/check/", me="on", it="on", lines=lines) == 302
    assert "it stands still" in main_of(student.get(f"/machines/{floor.saw_2.pk}/"))
    assert press(student, f"/runs/{run.pk}/end/") == 302
    assert Run.objects.get().ended_by is None


def test_student_waits_and_leaves(floor: Floor) -> None:
    cast, student = floor.cast, signed_in(floor.cast.student)
    floor.make_cleared(cast.student)
    opened(floor, at=None)
    machine = f"/machines/{floor.saw_2.pk}/"
    assert "Ask for this machine" in main_of(student.get(machine))
    assert press(student, f"{machine}wait/") == 302
    page = main_of(student.get(machine))
    assert "You are next" in page
    assert "Waiting: " in main_of(signed_in(cast.teacher).get(address(cast)))
    leave = page.split('action="/waiting/')[1].split('"')[0]
    assert press(student, f"/waiting/{leave}") == 302


def every_line_done(teacher: Client, cast: Cast) -> dict[str, str]:
    """The closing list of an open shop, each line done and checked by the teacher."""
    page = main_of(teacher.get(f"/shops/{cast.shop.pk}/closing/"))
    fields = {"shown": page.split('name="shown" value="')[1].split('"')[0]}
    by = str(cast.teacher.pk)
    return fields | {f"done-{line}": "yes" for line in range(7)} | {f"by-{line}": by for line in range(7)}


def test_tagged_out_machine_with_a_run_asks_to_confirm(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    floor.make_cleared(cast.student)
    opened(floor, at=None)
    running(floor, cast.student, at=None)
    tag_out(machine=floor.saw_2, reason="Blade cracked", by=cast.teacher, tap=uuid.uuid4())
    student = main_of(signed_in(cast.student).get(f"/machines/{floor.saw_2.pk}/"))
    assert "it stands still" in student, "the student can still say that it stopped"
    page = main_of(teacher.get(address(cast)))
    assert "Check that these have stopped" in page
    assert 'class="tile tagged-out"' in page


def test_hold_placed_during_a_run_asks_to_stop_it(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    floor.make_cleared(cast.student)
    opened(floor, at=None)
    running(floor, cast.student, at=None)
    place_hold(
        student=cast.student, machines=None, reason="horseplay", lifts="talk", by=cast.colleague, tap=uuid.uuid4()
    )  # fmt: skip
    page = main_of(teacher.get(address(cast)))
    still = page.partition("Check that these have stopped")[2].partition("</section>")[0]
    assert "on hold since this run began" in still
    assert "On hold. Stop this run." in page


def test_report_on_a_machine_in_use_keeps_it_off_and_asks_to_stop_the_run(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    floor.make_cleared(cast.student)
    opened(floor, at=None)
    running(floor, cast.student, at=None)
    report_hazard(seen=Sighting("cord"), shop=cast.shop, machine=floor.saw_2, by=cast.student, tap=uuid.uuid4())
    page = main_of(teacher.get(address(cast)))
    assert "Band saw 2" in page.partition("Check that these have stopped")[2].partition("</section>")[0]
    assert page.count('class="tile keep-off"') == 1
    assert f"{cast.student.short_name} is on the list here." in page


def test_closing_during_runs_lists_each_run_and_closes_after_the_last(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    url, fields = f"/shops/{cast.shop.pk}/closing/", {}
    for student, machine in ((cast.student, floor.saw_2), (cast.classmate, floor.saw_3)):
        floor.make_cleared(student, machine)
        fields[student] = machine
    opened(floor, at=None)
    runs = [running(floor, student, machine, at=None) for student, machine in fields.items()]
    sent = every_line_done(teacher, cast)
    for run in runs:
        page = main_of(teacher.get(url))
        assert f'action="/runs/{run.pk}/end/"' in page
        assert press(teacher, url, **sent) == 422
        assert press(teacher, f"/runs/{run.pk}/end/") == 302
    assert press(teacher, url, **sent) == 302


def test_session_that_ended_signs_off_nothing_and_says_so_to_a_script(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    floor.make_ready(cast.student)
    url = f"/machines/{floor.saw_2.pk}/sign-off/{cast.student.pk}/"
    teacher.logout()
    sent = {"tap": str(uuid.uuid4()), "point": POINTS}
    answer = teacher.post(url, sent, headers={"Accept": "application/json"})
    assert (answer.status_code, answer.headers["Shopsafe-Refusal"]) == (401, "signed-out")
    assert teacher.post(url, sent).headers["Location"].startswith("/sign-in/")
    assert not SignOff.objects.exists()
    teacher.force_login(cast.teacher)
    assert teacher.post(url, sent).status_code == 302
    assert SignOff.objects.get().by == cast.teacher


def test_colleague_takes_over_by_name(floor: Floor) -> None:
    cast = floor.cast
    opened(floor, at=None)
    colleague = signed_in(cast.colleague)
    assert f"Take over from {cast.teacher.name}" in main_of(colleague.get(address(cast)))
    assert press(colleague, f"/shops/{cast.shop.pk}/here/") == 409
    assert press(colleague, f"/shops/{cast.shop.pk}/here/", take_over="1") == 302


def test_office_and_a_substitute_without_a_grant_press_nothing(floor: Floor) -> None:
    cast = floor.cast
    opened(floor, at=None)
    for person in (cast.office, cast.substitute):
        page = main_of(signed_in(person).get(address(cast)))
        assert "End all runs" not in page
        assert "Free. Ask first." in page


def test_end_all_and_back(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    opened(floor, at=None)
    assert press(teacher, f"/shops/{cast.shop.pk}/end-all/") == 302
    page = main_of(teacher.get(address(cast)))
    assert page.count('class="tile keep-off"') == 3
    assert "The program cuts no power" in page
    assert press(teacher, f"/shops/{cast.shop.pk}/allow/") == 302


def test_asks_by_itself_and_hears_nothing_new(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    opened(floor, at=None)
    version = main_of(teacher.get(address(cast))).split('data-version="')[1].split('"')[0].replace("&#x27;", "'")
    news = {"part": "room", "seen": version}
    assert teacher.get(address(cast), news).status_code == 204
    running_floor = teacher.get(address(cast), {"part": "room", "seen": ""})
    assert (running_floor.status_code, "Shopsafe-Clock" in running_floor.headers) == (200, True)
    with time_machine.travel(NOON + timedelta(minutes=16)):
        assert 'class="tile keep-off"' in teacher.get(address(cast), news).content.decode()


def test_tiles_stand_in_the_order_of_the_room(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    assert press(teacher, address(cast, "plan/"), move=f"{floor.saw_3.pk} earlier") == 302
    keys = f"{floor.saw_3.pk},{floor.drill_1.pk}"
    sent = teacher.post(address(cast, "plan/"), {"order": keys}, headers={"Accept": "application/json"})
    assert sent.status_code == 204
    page = main_of(teacher.get(address(cast)))
    tiles = [part.split("</b>")[0] for part in page.split('<div class="tile-head"><b>')[1:]]
    assert tiles == ["3", "1", "2"]


@pytest.mark.parametrize("wall", [False, True])
def test_sixteen_machines_take_few_queries(floor: Floor, wall: bool) -> None:
    cast = floor.cast
    more = [MachineFactory(shop=cast.shop, kind=floor.saw, number=number) for number in range(4, 17)]
    keep_runs(cast.shop)
    order_tiles(shop=cast.shop, machines=more, by=cast.teacher, at=NOON)
    floor.make_cleared(cast.student)
    opened(floor, at=None)
    running(floor, cast.student, at=None)
    client = signed_in(cast.teacher)
    client.get(address(cast))
    with queries() as sent:
        answer = client.get(address(cast, "wall/" if wall else ""))
    assert answer.status_code == 200
    assert len(sent) <= MOST_QUERIES, "\n".join(sent)


def test_busy_floor_of_sixteen_machines_takes_no_more_queries(teacher: Client, floor: Floor) -> None:
    """With a tag-out, a report that keeps a machine off, a student who waits, and a helper."""
    cast = floor.cast
    floor.saw.helpers = 1
    floor.saw.save(update_fields=["helpers"])
    for number in range(4, 17):
        MachineFactory(shop=cast.shop, kind=floor.drill, number=number)
    for student in (cast.student, cast.classmate):
        floor.make_cleared(student)
    opened(floor, at=None)
    run = given(floor, cast.student, at=None)
    name_helper(run=run, student=cast.classmate, by=cast.teacher, tap=uuid.uuid4())
    waits = EnrollmentFactory(section=cast.section).student
    floor.make_cleared(waits)
    join_waiting(machine=floor.saw_2, student=waits, by=waits, tap=uuid.uuid4())
    tag_out(machine=floor.drill_1, reason="Belt torn", by=cast.teacher, tap=uuid.uuid4())
    asked = {"shop": cast.shop, "machine": floor.saw_3, "by": cast.teacher, "tap": uuid.uuid4()}
    report_hazard(seen=Sighting("guard"), **asked)
    teacher.get(address(cast))
    with queries() as sent:
        page = main_of(teacher.get(address(cast)))
    for words in ("Belt torn", "Waiting: ", f"Helper: {cast.classmate.given_name}", 'class="tile keep-off"'):
        assert words in page
    assert len(sent) <= MOST_QUERIES, "\n".join(sent)


def test_closing_asks_for_every_line(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    url = f"/shops/{cast.shop.pk}/closing/"
    assert teacher.get(url).status_code == 302
    opened(floor, at=None)
    page = main_of(teacher.get(url))
    assert "checked>" not in page
    lines = page.split('name="shown" value="')[1].split('"')[0]
    fields = {f"done-{line}": "yes" for line in range(7)} | {f"by-{line}": str(cast.teacher.pk) for line in range(7)}
    assert press(teacher, url, shown=lines, **fields | {"done-3": "no"}) == 422
    assert press(teacher, url, shown=lines, **fields | {"by-3": ""}) == 422
    assert press(teacher, url, shown=lines, **fields) == 302
    assert ShopOpening.objects.get().closed_how == "list"


def test_settings_turn_runs_on(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    fields = {"keeps_runs": "on", "presence_minutes": "10", "lines": "All machines stopped\nKey in the safe"}
    assert press(teacher, address(cast, "settings/"), **fields) == 302
    assert press(teacher, address(cast, "settings/"), **fields | {"presence_minutes": "99"}) == 422
    opened(floor, at=None)
    assert "Key in the safe" in main_of(teacher.get(f"/shops/{cast.shop.pk}/closing/"))


def test_office_grants_supervising_and_the_substitute_opens(floor: Floor) -> None:
    cast = floor.cast
    url = f"/classes/{cast.section.pk}/supervising/"
    office, substitute = signed_in(cast.office), signed_in(cast.substitute)
    assert f"Open for {cast.section.name}" not in main_of(substitute.get(address(cast)))
    assert press(office, url, substitute=cast.substitute.pk, day="2026-10-12") == 302
    assert "counts for nothing" in main_of(office.get(url)), "the substitute sheet says no"
    assert f"Open for {cast.section.name}" not in main_of(substitute.get(address(cast)))
    with_number(cast)
    assert "counts for nothing" not in main_of(office.get(url))
    assert f"Open for {cast.section.name}" in main_of(substitute.get(address(cast)))
    assert press(substitute, f"/shops/{cast.shop.pk}/open/", section=cast.section.pk) == 302


def test_substitute_who_may_not_run_an_open_shop_reads_whose_it_is(floor: Floor) -> None:
    cast, notice = floor.cast, "You may not run this shop."
    opened(floor, at=None)
    substitute = signed_in(cast.substitute)
    page = main_of(substitute.get(address(cast)))
    assert notice in page
    assert f"only while {cast.teacher.name} is in the room" in page
    assert f"{cast.shop.name} is open now under {cast.teacher.name}." in main_of(substitute.get("/today/"))
    assert notice not in main_of(signed_in(cast.teacher).get(address(cast)))
    with_number(cast)
    granted(cast)
    assert notice not in main_of(substitute.get(address(cast)))


def test_today_opens_the_shop_in_one_press(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    page = main_of(teacher.get("/today/"))
    assert "Open the shop" in page
    assert f'action="/shops/{cast.shop.pk}/open/"' in page
    opened(floor, at=None)
    page = main_of(teacher.get("/today/"))
    assert "I’m here" in page
    assert "was not closed" not in page


def test_today_brings_back_a_shop_whose_presence_ran_out(teacher: Client, floor: Floor) -> None:
    """Opening it again would be refused while a machine is on the list of this class."""
    cast = floor.cast
    floor.make_cleared(cast.student)
    keep_runs(cast.shop)
    opened(floor)
    running(floor, cast.student)
    with time_machine.travel(NOON + timedelta(minutes=20)):
        page = main_of(teacher.get("/today/"))
        assert "Open the shop" not in page
        assert "I’m here" in page
        assert press(teacher, f"/shops/{cast.shop.pk}/here/") == 302
        assert "No teacher has confirmed being here." not in main_of(teacher.get(address(cast)))
    with time_machine.travel(NOON + timedelta(days=1)):
        assert "Open the shop" in main_of(signed_in(cast.teacher).get("/today/"))
        assert "I’m here" not in main_of(signed_in(cast.teacher).get(address(cast)))


def test_left_closing_lines_show_on_today_and_the_substitute_sheet_until_done(teacher: Client, floor: Floor) -> None:
    cast = floor.cast
    url = f"/shops/{cast.shop.pk}/closing/"
    substitute = signed_in(cast.substitute)
    opened(floor, at=None)
    left = {"done-3": "no", "note-3": "One chisel is missing. Drawer locked."}
    assert press(teacher, url, **every_line_done(teacher, cast) | left) == 302
    with time_machine.travel(NOON + timedelta(minutes=5)):
        for client, page in ((teacher, "/today/needs/"), (substitute, "/today/")):
            assert "One chisel is missing. Drawer locked." in main_of(client.get(page))
        opened(floor, at=None)
        assert press(teacher, url, **every_line_done(teacher, cast)) == 302
        for client, page in ((teacher, "/today/needs/"), (substitute, "/today/")):
            assert "One chisel" not in main_of(client.get(page))


def test_a_shop_left_open_stands_on_today_and_with_the_office(teacher: Client, floor: Floor) -> None:
    opened(floor, at=None)
    with time_machine.travel(NOON + timedelta(minutes=26)):
        for client, url in ((teacher, "/today/"), (signed_in(floor.cast.office), "/office/standings/")):
            assert f"{floor.cast.shop.name} was not closed." in main_of(client.get(url))
