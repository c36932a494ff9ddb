"""The sentences of the plan and the rota. A page shows them as they are; `{...}` is filled in by the rules alone."""

from collections.abc import Sequence

from machines.planning.facts import ProblemCode, Proof
from shopsafe.language.lists import listed
from shopsafe.language.messages import _, counted, marked

NUMBERS = (
    marked("no"), marked("one"), marked("two"), marked("three"), marked("four"), marked("five"), marked("six"),
    marked("seven"), marked("eight"), marked("nine"), marked("ten"), marked("eleven"), marked("twelve"),
)  # fmt: skip

PROBLEMS = {
    ProblemCode.AWAY: marked("{student} is not here."),
    ProblemCode.NOT_READY: marked("{student} is not ready for sign-off on {place}. {why}"),
    ProblemCode.NOT_CLEARED: marked("{student} is not cleared on {place}. {why}"),
    ProblemCode.TWO_PLACES: marked("{student} has two places in slot {slot}."),
    ProblemCode.TWICE: marked("{student} is at {place} twice."),
    ProblemCode.NEEDS_FIRST: marked("{student} needs {first} before {place}."),
    ProblemCode.OUT_OF_SERVICE: marked("{place} is out of service."),
    ProblemCode.TAKEN: marked("{place} has two students in slot {slot}. One student works at each machine."),
    ProblemCode.NO_HELPER: marked("{place} needs {helpers} in slot {slot}."),
    ProblemCode.HELPER_NOT_CLEARED: marked("{student} may not help at {place}. {why}"),
    ProblemCode.GROUP_FULL: marked("The group at {place} has {count} students. {most} at most."),
    ProblemCode.GROUP_EMPTY: marked("The group at {place} has no student."),
    ProblemCode.NO_SUCH_SLOT: marked("The rotation has no slot {slot}."),
    ProblemCode.OVER_TIME: marked("The plan takes {count} minutes. The period has {most}."),
}


def capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def problem(code: ProblemCode, **parts: object) -> str:
    """The sentence for `code`; a part that is empty leaves no gap."""
    return capital(_(PROBLEMS[code], **parts).strip())


def number(count: int) -> str:
    """ "two", but "13"."""
    return _(NUMBERS[count]) if 0 <= count < len(NUMBERS) else str(count)


def helpers(count: int) -> str:
    """ "one helper", "two helpers" """
    return counted("{number} helper", "{number} helpers", count=count, number=number(count))


def ended(sentence: str) -> str:
    """With one period at its end: a short name brings its own."""
    return sentence.removesuffix(".") + "."


def plan_proof(first: bool, second: bool, gap: float | None, extra_students: int) -> Proof:
    """`first`: nothing gives more students or sign-offs; `second`: nor a fairer choice of students or fewer minutes."""
    if first:
        return Proof(proven=second, gap=0.0, more=0, words=_best(BEST_PLAN, second))
    words = _("No more students can get a new machine.")
    if extra_students:
        words = counted(
            "At most {number} more student could get a new machine.",
            "At most {number} more students could get a new machine.",
            count=extra_students,
            number=number(extra_students),
        )
    return Proof(proven=False, gap=gap, more=extra_students, words=f"{_(TIME_LIMIT)} {words}")


def rota_proof(first: bool, second: bool, gap: float | None, extra_turns: int) -> Proof:
    """`first`: nothing fills more turns or is fairer; `second`: nor a better choice of machines."""
    if first:
        return Proof(proven=second, gap=0.0, more=0, words=_best(BEST_ROTA, second))
    words = _("No more turns are possible, but a fairer sharing may be.")
    if extra_turns:
        words = counted(
            "At most {number} more turn could be filled.",
            "At most {number} more turns could be filled.",
            count=extra_turns,
            number=number(extra_turns),
        )
    return Proof(proven=False, gap=gap, more=extra_turns, words=f"{_(TIME_LIMIT)} {words}")


def _best(best: str, second: bool) -> str:
    return _(best) if second else f"{_(best)} {_(AMONG_EQUALS)}"


# --- the plan ---------------------------------------------------------------------------------------------------

TIME_LIMIT = marked("The search reached its time limit.")
AMONG_EQUALS = marked("Time ran out for choosing the best among equals.")
BEST_PLAN = marked("No other plan gives more students a new machine.")
NO_TIME = marked("Ready for {places}, but the minutes are used up.")
NOT_READY = marked("Not ready for any demonstration today.")
LEFT_OUT_BY_HAND = marked("Left out by the teacher.")


def first_machines(people: Sequence[str]) -> str:
    return ended(_("First machine for {students}", students=listed(people)))


def opens(place: str, count: int) -> str:
    return capital(
        counted(
            "{number} student can then show {place} today.",
            "{number} students can then show {place} today.",
            count=count,
            number=number(count),
            place=place,
        )
    )


def still_waiting(place: str, count: int) -> str:
    if count == 0:
        return _("Then no one is waiting for {place}.", place=place)
    return capital(
        counted(
            "{number} more student, and no one is waiting for {place}.",
            "{number} more students, and no one is waiting for {place}.",
            count=count,
            number=number(count),
            place=place,
        )
    )


def set_by_hand(people: Sequence[str]) -> str:
    return ended(_("Placed here by the teacher: {students}", students=listed(people)))


# --- the rota ---------------------------------------------------------------------------------------------------

BEST_ROTA = marked("No other rotation fills more turns or shares machine time more fairly.")
PLACED = marked("Placed here by the teacher.")
NO_STUDENT = marked("No student here is cleared on it.")
ALL_ELSEWHERE = marked("Every student cleared on it is at another machine.")
OUT_OF_SERVICE = marked("Out of service.")
LEFT_EMPTY_BY_HAND = marked("Left empty by the teacher.")
NO_MACHINE_CLEARED = marked("Cleared on no machine that is in service.")
HELPS = marked("Helps at {place}.")
FIRST_TIME = marked("First time at {place} this term.")


def no_helper(count: int) -> str:
    return _("No run without {helpers}.", helpers=helpers(count))


def machine_time(minutes: int, least: int, most: int) -> str:
    """`minutes` before this turn; `least` and `most` before the first turn of the period."""
    time = counted_minutes(minutes)
    if minutes == least:
        return _("{time} of machine time this term before this turn, the least here.", time=time)
    return _(
        "{time} of machine time this term before this turn; the class began today with {least} to {most}.",
        time=time,
        least=least,
        most=most,
    )


def every_machine_taken(minutes: int) -> str:
    time = counted_minutes(minutes)
    return _("Every machine is taken. The least machine time goes first, and this student has {time}.", time=time)


def helped_by(people: Sequence[str]) -> str:
    return ended(_("Helped by {students}", students=listed(people)))


def counted_minutes(minutes: int) -> str:
    return counted("{count} minute", "{count} minutes", count=minutes)
