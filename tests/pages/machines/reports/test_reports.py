"""Reporting a hazard in two steps, and what each person sees of it."""

from urllib.parse import unquote
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from machines.models import HazardReport
from machines.reports.hazards.acts import Sighting, report_hazard
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused
from tests.cast import Cast
from tests.factories.machines import Floor
from tests.factories.reports.photos import png
from tests.factories.shop_in_use import opened
from tests.pages.machines.reading import main_of


def as_person(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def send(client: Client, floor: Floor, seen: str = "guard", **more: object) -> str:
    response = client.post(f"/machines/{floor.saw_2.pk}/report/?seen={seen}", {"tap": str(uuid4())} | more)
    assert response.status_code == 302, main_of(response)
    return response["Location"]


def test_student_reports_from_the_menu_in_place_and_two_presses(cast: Cast, floor: Floor) -> None:
    student = as_person(cast.student)
    assert 'href="/reports/place/"' in student.get("/bench/").content.decode()
    address = f"/machines/{floor.saw_2.pk}/report/"
    assert address in main_of(student.get("/reports/place/"))
    what = main_of(student.get(address))
    assert 'href="?seen=guard"' in what
    assert "Press stop. Call your teacher." in what
    assert "No one may use band saw 2" in main_of(student.get(f"{address}?seen=guard"))
    page = main_of(student.get(send(student, floor, words="The left one.", photo=SimpleUploadedFile("a.png", png()))))
    assert "Stay away from band saw 2 until your teacher has looked." in page
    assert f"/reports/{HazardReport.objects.get().pk}/photo/" in page


def test_teacher_keeps_a_machine_off_from_the_floor_and_clears_it(floor: Floor) -> None:
    teacher, address = Client(), f"/shops/{floor.cast.shop.pk}/floor/"
    teacher.force_login(floor.cast.teacher)
    opened(floor, at=None)
    choose = f"/reports/place/?keep=1&next={address}"
    assert f'href="{choose}"' in main_of(teacher.get(address))
    keep = f"/machines/{floor.saw_2.pk}/report/?keep=1&next={address}"
    assert keep in unquote(main_of(teacher.get(choose)))
    assert "Keep band saw 2 off" in main_of(teacher.get(keep))
    answer = teacher.post(keep, {"tap": str(uuid4()), "words": "The fence is loose."})
    assert answer.headers["Location"] == address
    tiles = main_of(teacher.get(address))
    assert tiles.count('class="tile keep-off"') == 1
    assert "A teacher keeps it off for now." in tiles
    assert "The fence is loose." not in tiles, "the tiles are for the whole room"
    assert "kept off until you look: The fence is loose." in main_of(teacher.get("/today/"))
    report = HazardReport.objects.get()
    assert (report.keeps_off, report.words) == (True, "The fence is loose.")
    assert teacher.post(f"/reports/{report.pk}/clear/", {"found": "Fence tightened."}).status_code == 302
    assert 'class="tile keep-off"' not in main_of(teacher.get(address))


def test_only_a_teacher_keeps_a_machine_off_by_choice(floor: Floor) -> None:
    student = Client()
    student.force_login(floor.cast.student)
    keep = f"/machines/{floor.saw_2.pk}/report/?keep=1"
    assert "What did you see" in main_of(student.get(keep))
    for person in floor.cast.not_teachers:
        with pytest.raises(Refused):
            report_hazard(
                seen=Sighting("other", keep_off=True), shop=floor.cast.shop, machine=floor.saw_2, by=person,
                tap=uuid4(),
            )  # fmt: skip
    assert not HazardReport.objects.exists()


def test_a_hazard_that_is_not_offered_asks_again(cast: Cast, floor: Floor) -> None:
    student = as_person(cast.student)
    for seen in ("inspection", "nonsense", ""):
        response = student.post(f"/machines/{floor.saw_2.pk}/report/?seen={seen}", {"tap": str(uuid4())})
        assert "What did you see at band saw 2?" in main_of(response)
    assert not HazardReport.objects.exists()


def test_file_that_is_not_a_picture_is_named_and_nothing_is_sent(cast: Cast, floor: Floor) -> None:
    sent = {"tap": str(uuid4()), "photo": SimpleUploadedFile("a.png", b"no picture"), "words": "The left one."}
    response = as_person(cast.student).post(f"/machines/{floor.saw_2.pk}/report/?seen=guard", sent)
    assert response.status_code == 422
    page = main_of(response)
    assert "This picture cannot be read." in page
    assert "The left one." in page, "what was typed stays"
    assert not HazardReport.objects.exists()


def test_every_page_of_the_machine_says_keep_off(teacher: Client, cast: Cast, floor: Floor) -> None:
    floor.make_cleared(cast.student)
    student = as_person(cast.student)
    send(student, floor)
    for client, address in (
        (student, f"/machines/{floor.saw_2.pk}/"),
        (student, "/bench/"),
        (student, "/machines/"),
        (teacher, f"/machines/{floor.saw_2.pk}/"),
        (teacher, f"/classes/{cast.section.pk}/register/{cast.student.pk}/"),
        (teacher, f"/classes/{cast.section.pk}/register/{cast.student.pk}/{floor.saw_2.pk}/"),
        (teacher, f"/classes/{cast.section.pk}/register/"),
    ):
        page = " ".join(main_of(client.get(address)).casefold().split())
        assert "keep off" in page or "keep </span>off" in page, address


def test_teacher_sees_it_today_clears_it_and_the_student_reads_what_was_found(
    teacher: Client, cast: Cast, floor: Floor
) -> None:
    student = as_person(cast.student)
    address = send(student, floor, words="The left one.")
    today, needs = main_of(teacher.get("/today/")), main_of(teacher.get("/today/needs/"))
    assert "kept off until you look" in today
    assert address in today
    assert "look first" in needs
    assert address in needs
    assert cast.student.name in main_of(teacher.get(address))
    assert teacher.post(f"{address}clear/", {"found": " "}).status_code == 422
    assert teacher.post(f"{address}clear/", {"found": "Screwed on again."}).status_code == 302
    assert teacher.post(f"{address}clear/", {"found": "Again."}).status_code == 409
    assert "Screwed on again." in main_of(student.get(address))
    assert "Screwed on again." in main_of(student.get("/reports/"))
    assert "kept off" not in main_of(teacher.get("/today/"))
    assert address not in main_of(teacher.get("/today/needs/"))


def test_teacher_tags_out_from_the_report(teacher: Client, cast: Cast, floor: Floor) -> None:
    address = send(as_person(cast.student), floor, words="The left one.")
    pk = HazardReport.objects.get().pk
    tag = f"/machines/{floor.saw_2.pk}/tag-out/"
    assert f"{tag}?report={pk}" in main_of(teacher.get(address))
    assert "missing, loose or open: The left one." in main_of(teacher.get(f"{tag}?report={pk}"))
    assert teacher.post(tag, {"reason": "Guard missing.", "tap": str(uuid4())}).status_code == 302
    assert "tagged the machine out" in " ".join(main_of(teacher.get(address)).split())


def test_a_classmate_sees_neither_report_nor_reporter(cast: Cast, floor: Floor) -> None:
    address = send(as_person(cast.student), floor, photo=SimpleUploadedFile("a.png", png()))
    mate = as_person(cast.classmate)
    assert mate.get(address).status_code == mate.get(f"{address}photo/").status_code == 404
    assert cast.student.name not in main_of(mate.get(f"/machines/{floor.saw_2.pk}/"))
    assert "No report waits" in main_of(mate.get("/reports/"))


@pytest.mark.parametrize("role", ["substitute", "office"])
def test_staff_who_do_not_teach_read_it_and_end_nothing(cast: Cast, floor: Floor, role: str) -> None:
    address = send(as_person(cast.student), floor)
    client = as_person(getattr(cast, role))
    assert "A guard or cover" in main_of(client.get(address))
    assert "Clear this report" not in main_of(client.get(address))
    assert client.post(f"{address}clear/", {"found": "Fine"}).status_code == 404
