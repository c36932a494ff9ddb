"""My bench: what comes first, the machines, and which quizzes it lists beside them."""

from django.test import Client
from django.utils import timezone

from tests.cast import Cast
from tests.factories.banks import take
from tests.factories.holds import held_to_learn
from tests.factories.machines import BankFactory, EditionFactory, Floor, KindFactory, agreed, asks, passed


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
    assert page.count("Hand in the safety agreement") == 1
    assert "Until then no machine counts as cleared." in page.partition("machine-rows")[0]
    agreed(cast.student, timezone.now().year - (timezone.now().month < 8), timezone.now())
    assert "safety agreement" not in bench(client, cast)


def test_first_quiz_is_shown_once_with_its_button(client: Client, cast: Cast, floor: Floor) -> None:
    top, _, rows = bench(client, cast).partition('<div class="machine-rows">')
    assert top.count(">First: ") == 1
    assert top.count(f'href="/quizzes/{floor.general.pk}/"') == 1
    assert rows.count(" comes first.") == 2  # the drill press, and the band saws together
    assert "Start the quiz" not in rows
    assert f"/quizzes/{floor.general.pk}/" not in rows
    passed(cast.student, floor.general, timezone.now())
    top, _, rows = bench(client, cast).partition('<div class="machine-rows">')
    assert ">First: " not in top
    assert rows.count("Start the quiz</a>") == 2
    assert "quiz: passed" in rows
    assert f'href="/quizzes/{floor.general.pk}/"' in rows


def test_a_quiz_of_another_machine_here_is_not_moved_to_the_top(client: Client, cast: Cast, floor: Floor) -> None:
    asks(floor.saw, floor.drill.bank, floor.saw_bank)
    asks(floor.drill, floor.drill.bank)
    page = bench(client, cast)
    assert "First: " not in page
    assert page.count(f'href="/quizzes/{floor.drill.bank_id}/"') == 2


def test_each_machine_of_a_row_is_linked(client: Client, cast: Cast, floor: Floor) -> None:
    page = bench(client, cast)
    assert f'<a href="/machines/{floor.saw_2.pk}/">Band saw 2</a>' in page
    assert f'<a href="/machines/{floor.saw_3.pk}/" aria-label="Band saw 3">3</a>' in page


def test_missed_quiz_reads_the_same_on_both_pages(client: Client, cast: Cast, floor: Floor) -> None:
    passed(cast.student, floor.general)
    take(cast.student, floor.saw_bank, wrong=["r1", "r2"])
    for page in (bench(client, cast), client.get(f"/machines/{floor.saw_2.pk}/").content.decode()):
        assert "2 rules to learn again, then new questions." in page
        assert "Learn the 2 rules</a>" in page
        assert "Take the Band saw quiz" not in page


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


def test_the_bench_word_says_what_it_is_for(client: Client, cast: Cast, floor: Floor) -> None:
    floor.make_ready(cast.student)
    assert "Your teacher asks for it at the machine" in bench(client, cast)


def test_a_quiz_says_which_one_comes_first(client: Client, cast: Cast, floor: Floor) -> None:
    client.force_login(cast.student)
    first = "<b>General shop safety comes first.</b>"
    page = client.get(f"/quizzes/{floor.saw_bank.pk}/").content.decode()
    assert first in page
    assert "Start the quiz" in page
    assert first not in client.get(f"/quizzes/{floor.general.pk}/").content.decode()
    passed(cast.student, floor.general, timezone.now())
    assert first not in client.get(f"/quizzes/{floor.saw_bank.pk}/").content.decode()
