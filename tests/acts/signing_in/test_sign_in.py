"""Signing in: the right code, wrong ones by device and by name, and what tells no one which names there are."""

import statistics
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from django.conf import settings
from django.contrib.auth import hashers

from shopsafe.school.models import KnownDevice, Person, Session, WrongCodes
from shopsafe.school.refusals import Refused
from shopsafe.school.signing_in import acts
from shopsafe.school.signing_in.acts import sign_in
from shopsafe.school.signing_in.codes import tries as tries_module
from shopsafe.school.signing_in.codes.devices import digest_of
from shopsafe.school.signing_in.codes.tries import clear_old_wrong_codes
from shopsafe.school.signing_in.rules.wrong_codes import DEVICE_TRIES, KNOWN_DEVICES, NAME_TRIES
from shopsafe.school.signing_in.sessions.lifetime import clear_ended_sessions
from tests.acts.reading import entries, last_entry
from tests.cast import Cast, make_cast
from tests.counting import queries
from tests.factories.people import CODE, PASSWORD, PersonFactory

AT = datetime(2026, 10, 12, 15, 0, tzinfo=UTC)
LAPTOP, OTHER, THIRD = digest_of("laptop"), digest_of("other"), digest_of("third")


def refusal(**kwargs: object) -> str:
    return refused(**kwargs).code


def refused(**kwargs: object) -> Refused:
    with pytest.raises(Refused) as caught:
        sign_in(**kwargs)  # type: ignore[arg-type]
    return caught.value


def guess(name: str, times: int, device: str = "", at: datetime = AT) -> list[str]:
    return [refusal(name=name, code="WRONG", device=device, at=at) for _ in range(times)]


def opens(person: Person, device: str = "", at: datetime = AT) -> bool:
    try:
        return sign_in(name=person.sign_in_name, code=CODE, device=device, at=at) == person
    except Refused:
        return False


class TestRightCode:
    @pytest.mark.parametrize("typed", [CODE, CODE.lower(), "7K3D-Q2XM", " 7k3d q2xm "])
    def test_code_is_taken_however_it_is_typed(self, cast: Cast, typed: str) -> None:
        assert sign_in(name=cast.student.sign_in_name, code=typed, at=AT) == cast.student

    def test_name_is_taken_without_accents_and_in_any_case(self, cast: Cast) -> None:
        person = PersonFactory(school=cast.school, given_name="Łukasz", family_name="Márquez")
        assert sign_in(name="  lukasz  MARQUEZ", code=CODE, at=AT) == person

    def test_two_people_of_one_name_get_two_sign_in_names(self, cast: Cast) -> None:
        first = PersonFactory(school=cast.school, given_name="Uma", family_name="Lund")
        second = PersonFactory(school=cast.stranger_school, given_name="Uma", family_name="Lund")
        assert (first.sign_in_name, second.sign_in_name) == ("Uma Lund", "Uma Lund 2")
        assert sign_in(name="Uma Lund 2", code=CODE, at=AT) == second

    def test_right_code_forgets_the_wrong_ones(self, cast: Cast) -> None:
        name = cast.student.sign_in_name
        guess(name, DEVICE_TRIES - 1, LAPTOP)
        assert sign_in(name=name, code=CODE, device=LAPTOP, at=AT).misses == 0
        assert not WrongCodes.objects.exists()

    def test_latest_devices_are_known(self, cast: Cast) -> None:
        for number in range(KNOWN_DEVICES + 2):
            assert opens(cast.student, digest_of(f"{number}"), AT + timedelta(minutes=number))
        known = set(KnownDevice.objects.values_list("device", flat=True))
        assert known == {digest_of(f"{number}") for number in range(2, KNOWN_DEVICES + 2)}


class TestWrongCodesOnOneDevice:
    def test_five_lock_the_name_on_this_device_and_on_no_other(self, cast: Cast) -> None:
        name = cast.student.sign_in_name
        assert guess(name, DEVICE_TRIES, LAPTOP) == ["sign-in.wrong"] * 4 + ["sign-in.device-locked"]
        assert not opens(cast.student, LAPTOP)
        assert opens(cast.student, OTHER)
        assert opens(cast.classmate, LAPTOP)

    def test_lock_on_the_device_ends_after_a_day(self, cast: Cast) -> None:
        guess(cast.student.sign_in_name, DEVICE_TRIES, LAPTOP)
        assert not opens(cast.student, LAPTOP, AT + timedelta(hours=23))
        assert opens(cast.student, LAPTOP, AT + timedelta(hours=24))

    def test_known_device_is_locked_by_its_own_wrong_codes_too(self, cast: Cast) -> None:
        assert opens(cast.student, LAPTOP)
        guess(cast.student.sign_in_name, DEVICE_TRIES, LAPTOP)
        assert not opens(cast.student, LAPTOP)

    def test_lock_is_one_entry_that_names_the_student_and_the_device(self, cast: Cast) -> None:
        guess(cast.student.sign_in_name, DEVICE_TRIES + 3, LAPTOP)
        assert len(entries("student.locked")) == 1
        kind, payload = last_entry()
        assert (kind, payload["student"]) == ("student.locked", cast.student.as_record())
        assert (payload["locked_on"], payload["device"]) == ("this device", LAPTOP[:6].upper())

    def test_teacher_waits_a_minute_and_is_never_locked_for_good(self, cast: Cast) -> None:
        name = cast.teacher.sign_in_name
        guess(name, DEVICE_TRIES, LAPTOP)

        def tried(code: str, seconds: int) -> str:
            try:
                sign_in(name=name, code=code, device=LAPTOP, at=AT + timedelta(seconds=seconds))
            except Refused as refusal:
                return refusal.code
            return "in"

        assert tried(PASSWORD, 59) == "sign-in.device-locked"
        assert tried("wrong", 60) == "sign-in.device-locked"
        assert tried(PASSWORD, 179) == "sign-in.device-locked"
        assert tried(PASSWORD, 180) == "in"
        assert len(entries("staff.locked")) == 1


class TestWrongCodesOnManyDevices:
    def test_ten_wrong_codes_lock_the_name_on_unknown_devices_only(self, cast: Cast) -> None:
        name = cast.student.sign_in_name
        assert opens(cast.student, LAPTOP)
        guess(name, DEVICE_TRIES, OTHER)
        assert opens(cast.student, digest_of("fresh")), "one device locks no one else out"
        guess(name, NAME_TRIES)
        assert not opens(cast.student, digest_of("another fresh one"))
        assert not opens(cast.student, "")
        assert opens(cast.student, LAPTOP)
        assert not opens(cast.student, THIRD, AT + timedelta(days=30)), "until a teacher unlocks it"

    def test_known_device_signs_in_to_a_locked_name_without_unlocking_it(self, cast: Cast) -> None:
        assert opens(cast.student, LAPTOP)
        guess(cast.student.sign_in_name, NAME_TRIES)
        assert opens(cast.student, LAPTOP)
        assert not opens(cast.student, OTHER)

    def test_wrong_codes_on_a_known_device_do_not_count_against_the_name(self, cast: Cast) -> None:
        for number in range(3):
            assert opens(cast.student, digest_of(f"{number}"))
            guess(cast.student.sign_in_name, DEVICE_TRIES, digest_of(f"{number}"))
        cast.student.refresh_from_db()
        assert (cast.student.misses, cast.student.locked_at) == (0, None)

    def test_lock_of_the_name_is_an_entry(self, cast: Cast) -> None:
        guess(cast.student.sign_in_name, NAME_TRIES + 5)
        kind, payload = last_entry()
        assert (kind, payload["locked_on"]) == ("student.locked", "unknown devices")
        assert len(entries("student.locked")) == 1

    @pytest.mark.parametrize("tries", [400, pytest.param(10_000, marks=pytest.mark.nightly)])
    def test_guesses_from_many_new_devices_count_ten_times(
        self, cast: Cast, tries: int, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        counted: list[bool] = []
        real = tries_module.counts
        monkeypatch.setattr(tries_module, "counts", lambda state, at: counted.append(real(state, at)) or counted[-1])
        for number in range(tries):
            guess(cast.student.sign_in_name, 1, digest_of(f"{number}"))
        print({"guesses": len(counted), "counted": sum(counted)})
        assert (len(counted), sum(counted)) == (tries, NAME_TRIES)
        assert opens(cast.classmate, digest_of("classroom")), "classmates sign in all the while"

    def test_guesses_from_all_known_devices_stay_below_the_limit(self, cast: Cast) -> None:
        devices = [digest_of(f"{number}") for number in range(KNOWN_DEVICES)]
        assert all(opens(cast.student, device) for device in devices)
        for device in [*devices, LAPTOP, OTHER, THIRD]:
            guess(cast.student.sign_in_name, DEVICE_TRIES + 2, device)
        counted = sum(WrongCodes.objects.values_list("count", flat=True))
        assert counted <= KNOWN_DEVICES * DEVICE_TRIES + NAME_TRIES + DEVICE_TRIES


class TestTellsNothing:
    """An unknown name, a locked one, one whose access has ended and a wrong code: the same sentence, the same work."""

    def cases(self, cast: Cast) -> dict[str, str]:
        guess(cast.classmate.sign_in_name, NAME_TRIES)
        PersonFactory(school=cast.school, given_name="Gone", family_name="Away", is_active=False)
        return {
            "unknown": "No one Here",
            "ended": "Gone Away",
            "locked": cast.classmate.sign_in_name,
            "wrong": cast.student.sign_in_name,
            "staff": cast.teacher.sign_in_name,
        }

    def test_sentence_follows_from_the_tries_of_this_device_alone(self, cast: Cast) -> None:
        answers_by_case = {
            case: [
                (answer.code, answer.sentence, answer.status)
                for _ in range(DEVICE_TRIES + 2)
                for answer in [refused(name=name, code="WRONG", device=digest_of(case), at=AT)]
            ]
            for case, name in self.cases(cast).items()
        }
        assert all(answers == answers_by_case["unknown"] for answers in answers_by_case.values()), answers_by_case
        assert acts.LAST_BUT_ONE in answers_by_case["unknown"][DEVICE_TRIES - 2][1]
        assert answers_by_case["unknown"][DEVICE_TRIES - 1][1] == acts.DEVICE_LOCKED

    def test_right_code_of_a_locked_name_reads_like_a_wrong_one(self, cast: Cast) -> None:
        guess(cast.student.sign_in_name, NAME_TRIES)
        right = refused(name=cast.student.sign_in_name, code=CODE, device=LAPTOP, at=AT)
        unknown = refused(name="No one Here", code=CODE, device=OTHER, at=AT)
        assert (right.code, right.sentence, right.status) == (unknown.code, unknown.sentence, unknown.status)

    def test_each_try_hashes_once(self, cast: Cast, monkeypatch: pytest.MonkeyPatch) -> None:
        hashed: list[str] = []
        hasher = hashers.get_hasher("default")
        acts.nobodys_hash.cache_clear()
        acts.nobodys_hash()
        real = type(hasher).encode
        monkeypatch.setattr(type(hasher), "encode", lambda *args: hashed.append("once") or real(*args))
        for case, name in self.cases(cast).items():
            hashed.clear()
            refused(name=name, code="WRONG", device=digest_of(case), at=AT)
            assert hashed == ["once"], case

    def test_each_try_sends_nearly_the_same_statements(self, cast: Cast) -> None:
        sent = {}
        for case, name in self.cases(cast).items():
            with queries() as statements:
                refused(name=name, code="WRONG", device=digest_of(case), at=AT)
            sent[case] = len(statements)
        assert max(sent.values()) - min(sent.values()) <= 1, sent

    @pytest.mark.nightly
    def test_each_try_takes_the_same_time(self, cast: Cast, settings: Callable[..., None]) -> None:
        settings.PASSWORD_HASHERS = ["shopsafe.school.signing_in.hashers.SchoolArgon2Hasher"]  # type: ignore[attr-defined]
        acts.nobodys_hash.cache_clear()
        for person in (cast.student, cast.classmate, cast.teacher):
            person.set_password(CODE)
            person.save(update_fields=["password"])
        cases, times = self.cases(cast), {}
        for number in range(60):
            for case, name in cases.items():
                began = time.perf_counter()
                refused(name=name, code="WRONG", device=digest_of(f"{case} {number}"), at=AT)
                times.setdefault(case, []).append(time.perf_counter() - began)
        medians = {case: statistics.median(took) for case, took in times.items()}
        print({case: f"{1000 * median:.1f} ms" for case, median in medians.items()})
        assert max(medians.values()) / min(medians.values()) < 1.15


def test_person_who_has_left_can_not_sign_in(cast: Cast) -> None:
    former_student = PersonFactory(school=cast.school, is_active=False)
    assert not opens(former_student)


def test_counts_that_lock_nothing_any_more_are_cleared(cast: Cast) -> None:
    guess("No one Here", 1, LAPTOP)
    guess(cast.student.sign_in_name, DEVICE_TRIES, LAPTOP, AT + timedelta(hours=1))
    clear_old_wrong_codes(AT + timedelta(hours=24), most=50)
    assert WrongCodes.objects.get().person == cast.student


def test_name_that_was_typed_is_kept_as_a_digest_alone(cast: Cast) -> None:
    guess("a password in the wrong field", 1, LAPTOP)
    row = WrongCodes.objects.get()
    assert row.person is None
    assert "password" not in row.name_digest
    assert settings.SECRET_KEY not in row.name_digest


@pytest.mark.django_db(transaction=True)
def test_ended_sessions_are_cleared_outside_of_a_transaction() -> None:
    """As the page that signs in does: PostgreSQL locks rows in a transaction alone."""
    teacher = make_cast().teacher
    for name, at in (("ended", AT - timedelta(seconds=1)), ("open", AT + timedelta(seconds=1))):
        row = {"session_key": name, "session_data": "{}", "expire_date": at, "began_at": AT, "seen_at": AT}
        Session.objects.create(person=teacher, **row)
    assert clear_ended_sessions(AT) == 1
    assert [session.pk for session in Session.objects.all()] == ["open"]
