"""Wrong codes slow a device down first, then a name; waves of locks are reported together."""

from datetime import UTC, datetime, timedelta

import pytest

from shopsafe.school.signing_in.rules.wrong_codes import (
    DEVICE_LOCK,
    DEVICE_TRIES,
    KNOWN_DEVICES,
    NAME_TRIES,
    LockWave,
    NameLock,
    SignInState,
    WrongCount,
    counts,
    lock_waves,
    wait_after,
)

NOON = datetime(2026, 9, 14, 17, 0, tzinfo=UTC)
MINUTE = timedelta(minutes=1)


def state(
    device: int = 0, name: int = 0, *, student: bool = True, known: bool = False, at: datetime = NOON
) -> SignInState:
    """So many wrong codes, the last at noon."""
    return SignInState(WrongCount(device, at), WrongCount(name, at), is_student=student, is_known=known)


@pytest.mark.parametrize(
    ("device", "name", "known", "expected"),
    [
        (0, 0, False, True),
        (DEVICE_TRIES - 1, 0, False, True),
        (DEVICE_TRIES, 0, False, False),
        (DEVICE_TRIES, 0, True, False),
        (0, NAME_TRIES - 1, False, True),
        (0, NAME_TRIES, False, False),
        (0, NAME_TRIES, True, True),
        (DEVICE_TRIES - 1, NAME_TRIES, True, True),
    ],
)
def test_student_s_code_counts_by_device_and_then_by_name(device: int, name: int, known: bool, expected: bool) -> None:
    assert counts(state(device, name, known=known), NOON) is expected


def test_no_wrong_code_leaves_the_code_to_count() -> None:
    assert counts(SignInState(WrongCount(), WrongCount(), is_student=True, is_known=False), NOON)


def test_device_opens_again_after_a_day_and_a_student_s_name_does_not() -> None:
    device, name = state(DEVICE_TRIES), state(name=NAME_TRIES)
    assert not counts(device, NOON + DEVICE_LOCK - timedelta(seconds=1))
    assert counts(device, NOON + DEVICE_LOCK)
    assert not counts(name, NOON + timedelta(days=4000))


@pytest.mark.parametrize(("more", "minutes"), [(0, 1), (1, 2), (2, 4), (3, 8), (4, 15), (5, 15), (10**9, 15)])
def test_staff_wait_twice_as_long_each_time_up_to_fifteen_minutes(more: int, minutes: int) -> None:
    assert wait_after(more) == minutes * MINUTE
    for wrong in (state(DEVICE_TRIES + more, student=False), state(name=NAME_TRIES + more, student=False)):
        assert not counts(wrong, NOON + minutes * MINUTE - timedelta(seconds=1))
        assert counts(wrong, NOON + minutes * MINUTE)


def test_codes_that_count_stay_under_a_hundred_however_many_devices() -> None:
    """What an attacker can try on one student's name before a teacher unlocks it."""
    known = KNOWN_DEVICES * DEVICE_TRIES
    assert known + NAME_TRIES <= 100


def locks(*moments: tuple[int, str, float]) -> list[NameLock]:
    return [NameLock(person, device, NOON + minutes * MINUTE) for person, device, minutes in moments]


def test_names_locked_from_one_device_are_one_wave() -> None:
    waves = lock_waves(locks(*((person, "d1", person / 4) for person in range(8))))
    assert waves == [LockWave(tuple(range(8)), "d1", NOON, NOON + 1.75 * MINUTE)]


def test_two_names_are_no_wave() -> None:
    assert lock_waves(locks((1, "d1", 0), (2, "d1", 1))) == []


def test_same_name_twice_counts_once() -> None:
    assert lock_waves(locks((1, "d1", 0), (2, "d1", 1), (2, "d1", 2))) == []


def test_wave_ends_where_nothing_was_locked_for_ten_minutes() -> None:
    early = locks((1, "d1", 0), (2, "d1", 5), (3, "d1", 15))
    late = locks((4, "d1", 25.1), (5, "d1", 26))
    assert [wave.people for wave in lock_waves(early + late)] == [(1, 2, 3)]


def test_locks_from_several_devices_are_one_wave_without_a_device() -> None:
    waves = lock_waves(locks((1, "d1", 0), (2, "d2", 1), (3, "", 2)))
    assert waves == [LockWave((1, 2, 3), "", NOON, NOON + 2 * MINUTE)]


def test_name_of_a_device_s_wave_is_in_no_other() -> None:
    from_one = locks((1, "d1", 0), (2, "d1", 0), (3, "d1", 0), (4, "d1", 0))
    beside = locks((1, "", 1), (5, "", 1), (6, "d2", 1), (7, "", 2))
    assert [(wave.people, wave.device) for wave in lock_waves(from_one + beside)] == [
        ((1, 2, 3, 4), "d1"),
        ((5, 6, 7), ""),
    ]
