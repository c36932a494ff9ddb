"""My bench: which quizzes it lists beside the machines."""

from django.test import Client

from tests.cast import Cast
from tests.factories.machines import BankFactory, EditionFactory, Floor, KindFactory


def test_other_quizzes_are_about_no_machine_or_about_one_that_stands_here(
    client: Client, cast: Cast, floor: Floor
) -> None:
    lathe, hand_tools = KindFactory(school=cast.school).bank, BankFactory(school=cast.school)
    for bank in (lathe, hand_tools):
        EditionFactory(bank=bank)
    client.force_login(cast.student)
    others = client.get("/bench/").content.decode().partition("Other quizzes")[2]
    listed = [bank for bank in (lathe, hand_tools, floor.saw_2.kind.bank) if f'"/quizzes/{bank.pk}/"' in others]
    assert listed == [hand_tools]
