"""A machine that is tagged out says so wherever someone reads who may use it, also of a student who is cleared."""

from uuid import uuid4

from django.test import Client
from django.utils import timezone

from machines.tag_outs.acts import tag_out
from tests.cast import Cast
from tests.factories.machines import make_floor


def test_the_bench_says_which_machine_is_tagged_out(client: Client, cast: Cast) -> None:
    floor = make_floor(cast)
    client.force_login(cast.student)
    assert "tagged out" not in client.get("/bench/").content.decode()
    tag_out(machine=floor.saw_2, reason="Blade cracked", by=cast.teacher, tap=uuid4(), at=timezone.now())
    page = client.get("/bench/").content.decode().partition('id="not"')[2]
    assert "Tagged out. No one may use it." in page.partition("Band saw 2</a>")[2]


def test_its_own_page_shows_no_one_a_full_wheel(client: Client, cast: Cast) -> None:
    floor = make_floor(cast)
    floor.make_cleared(cast.student)
    tag_out(machine=floor.saw_2, reason="Blade cracked", by=cast.teacher, tap=uuid4(), at=timezone.now())
    for person in (cast.student, cast.substitute, cast.teacher):
        client.force_login(person)
        page = client.get(f"/machines/{floor.saw_2.pk}/").content.decode()
        assert "No one may use it" in page
        assert "Only these people may use it" not in page
        assert "#cleared" not in page
