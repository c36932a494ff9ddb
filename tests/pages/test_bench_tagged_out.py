"""A machine that is tagged out says so on the bench, also to a student who is cleared on it."""

from uuid import uuid4

from django.test import Client
from django.utils import timezone

from machines.acts.tag_outs import tag_out
from tests.cast import Cast
from tests.factories.machines import make_floor


def test_the_bench_says_which_machine_is_tagged_out(client: Client, cast: Cast) -> None:
    floor = make_floor(cast)
    client.force_login(cast.student)
    assert "tagged out" not in client.get("/bench/").content.decode()
    tag_out(machine=floor.saw_2, reason="Blade cracked", by=cast.teacher, tap=uuid4(), at=timezone.now())
    assert "Band saw 2 is tagged out. Nobody may use it." in client.get("/bench/").content.decode()
