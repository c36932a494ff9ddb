"""My machines: the one thing to do next, what may be used, why not the rest, and other quizzes."""

from uuid import uuid4

from django.test import Client
from django.utils import timezone

from machines.floor.acts.waiting import join_waiting
from machines.tag_outs.acts import tag_out
from tests.cast import Cast
from tests.counting import queries
from tests.factories.banks import take
from tests.factories.holds import held_to_learn
from tests.factories.machines import (
    NOON,
    BankFactory,
    EditionFactory,
    Floor,
    KindFactory,
    MachineFactory,
    agreed,
    asks,
    passed,
)
from tests.factories.shop_in_use import given, opened, started, stopped

MOST_QUERIES = 12


def test_other_quizzes_list_only_quizzes_without_a_machine(client: Client, cast: Cast, floor: Floor) -> None:
    lathe, hand_tools = KindFactory(school=cast.school).bank, BankFactory(school=cast.school)
    for bank in (lathe, hand_tools):
        EditionFactory(bank=bank)
    client.force_login(cast.student)
    others = client.get("/bench/").content.decode().partition("Other quizzes")[2]
    listed = [bank for bank in (lathe, hand_tools, floor.saw_2.kind.bank) if f'"/quizzes/{bank.pk}/"' in others]
    assert listed == [hand_tools]


def bench(client: Client, cast: Cast) -> str:
    client.force_login(cast.student)
    return client.get("/bench/").content.decode()


def test_a_missing_agreement_is_said_once_at_the_top(client: Client, cast: Cast, floor: Floor) -> None:
    page = bench(client, cast)
    assert page.count("Your safety agreement is missing.") == 1
    assert "Until then no machine counts as cleared." in page.partition("bench-grid")[0]
    agreed(cast.student, timezone.now().year - (timezone.now().month < 8), timezone.now())
    assert "safety agreement" not in bench(client, cast)


def next_block(page: str) -> str:
    return page.partition('<section class="next"')[2].partition("</section>")[0]


def test_one_act_is_offered_and_it_is_the_quiz_that_comes_first(client: Client, cast: Cast, floor: Floor) -> None:
    page = bench(client, cast)
    assert page.partition("</main>")[0].count('class="button"') == 1
    assert ": the quiz" in next_block(page)
    assert f'href="/quizzes/{floor.general.pk}/"' in next_block(page)
    assert " questions." in next_block(page)
    assert page.count(" comes first.") == 1  # for the drill press and the band saws together
    passed(cast.student, floor.general, timezone.now())
    page = bench(client, cast)
    assert "Start the quiz</a>" in next_block(page)
    assert f'href="/quizzes/{floor.general.pk}/"' not in next_block(page)
    assert page.count("<p>Pass its quiz.</p>") == 1


def test_each_machine_is_linked(client: Client, cast: Cast, floor: Floor) -> None:
    page = bench(client, cast)
    for machine in (floor.saw_2, floor.saw_3, floor.drill_1):
        assert f'<a href="/machines/{machine.pk}/">{machine}</a>' in page


def test_missed_quiz_reads_the_same_on_both_pages(client: Client, cast: Cast, floor: Floor) -> None:
    passed(cast.student, floor.general)
    take(cast.student, floor.saw_bank, wrong=["r1", "r2"])
    assert "Band saw 2 and 3: 2 rules to study" in next_block(bench(client, cast))
    for page in (bench(client, cast), client.get(f"/machines/{floor.saw_2.pk}/").content.decode()):
        assert "2 rules to learn again, then new questions." in page
        assert "Learn the 2 rules</a>" in page
        assert "Take the Band saw quiz" not in page


def test_cleared_machines_are_listed_apart_and_counted(client: Client, cast: Cast, floor: Floor) -> None:
    floor.make_cleared(cast.student)
    page = bench(client, cast)
    may, _, not_yet = page.partition('id="not"')
    assert "1 of 3 machines" in may
    assert "#cleared" in may
    assert "#cleared" not in not_yet
    tag_out(machine=floor.saw_2, reason="Blade cracked", by=cast.teacher, tap=uuid4(), at=timezone.now())
    page = bench(client, cast)
    assert "0 of 3 machines" in page
    assert "#cleared" not in page
    assert "Tagged out. No one may use it." in page


def test_machine_of_the_moment_stands_above_any_quiz(client: Client, cast: Cast, floor: Floor) -> None:
    """No one at a running machine is sent to a quiz."""
    floor.make_cleared(cast.student)
    opened(floor)
    join_waiting(machine=floor.saw_2, student=cast.student, by=cast.student, tap=uuid4(), at=NOON)
    page = bench(client, cast)
    assert "You wait for band saw 2" in page
    assert 'id="next"' in page
    run = given(floor, cast.student)
    page = bench(client, cast)
    assert "Band saw 2 is yours to" in page
    assert 'id="next"' not in page
    started(run)
    page = bench(client, cast)
    assert "You run band saw 2" in page
    assert 'id="next"' not in page
    stopped(run)
    assert "band saw 2" not in bench(client, cast)


def test_number_of_queries_grows_with_no_machine(client: Client, cast: Cast, floor: Floor) -> None:
    client.force_login(cast.student)
    client.get("/bench/")  # what a worker keeps from the first page on is not asked for again
    with queries() as few:
        client.get("/bench/")
    for number in range(9):
        kind = KindFactory(school=cast.school)
        asks(kind, floor.general, kind.bank)
        MachineFactory(shop=cast.shop, kind=kind, number=number + 20)
    with queries() as many:
        client.get("/bench/")
    assert len(many) == len(few) <= MOST_QUERIES


def test_a_hold_leaves_nothing_else_to_do_at_the_machine(client: Client, cast: Cast, floor: Floor) -> None:
    held_to_learn(cast)
    page = bench(client, cast) and client.get(f"/machines/{floor.saw_2.pk}/").content.decode()
    assert "Learn its rules again." in page
    assert "show your teacher" not in page


def test_the_own_shops_subjects_stand_before_the_others(client: Client, cast: Cast, floor: Floor) -> None:
    lathe, hand_tools = KindFactory(school=cast.school).bank, BankFactory(school=cast.school)
    for bank in (lathe, hand_tools):
        EditionFactory(bank=bank)
    client.force_login(cast.student)
    for url, page in (("/rules/", "rules"), ("/quizzes/", "quizzes")):
        own, _, others = client.get(url).content.decode().partition("Not in your own shop")
        for bank in (floor.general, floor.saw_bank, hand_tools):
            assert f'"/{page}/{bank.pk}/"' in own
        assert f'"/{page}/{lathe.pk}/"' in others
        assert f'"/{page}/{lathe.pk}/"' not in own
    client.force_login(cast.teacher)
    assert "Not in your own shop" not in client.get("/rules/").content.decode()


def test_a_student_who_is_ready_reads_the_check_word(client: Client, cast: Cast, floor: Floor) -> None:
    floor.make_ready(cast.student)
    page = bench(client, cast)
    assert "Your teacher asks for your check word." in next_block(page)
    assert "<button" not in next_block(page)
    assert "Check word today: <b>" in page


def test_a_quiz_says_which_one_comes_first(client: Client, cast: Cast, floor: Floor) -> None:
    client.force_login(cast.student)
    first = "<b>General shop safety comes first.</b>"
    page = client.get(f"/quizzes/{floor.saw_bank.pk}/").content.decode()
    assert first in page
    assert "Start the quiz" in page
    assert first not in client.get(f"/quizzes/{floor.general.pk}/").content.decode()
    passed(cast.student, floor.general, timezone.now())
    assert first not in client.get(f"/quizzes/{floor.saw_bank.pk}/").content.decode()
