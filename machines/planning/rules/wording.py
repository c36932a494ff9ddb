"""The sentences of the plan and the rota. A page shows them as they are; `{...}` is filled in here and nowhere else."""

from collections.abc import Sequence

from machines.planning.facts import ProblemCode, Proof

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")

PROBLEMS = {
    ProblemCode.AWAY: "{student} is not here.",
    ProblemCode.NOT_READY: "{student} is not ready for sign-off on {place}. {why}",
    ProblemCode.NOT_CLEARED: "{student} is not cleared on {place}. {why}",
    ProblemCode.TWO_PLACES: "{student} has two places in slot {slot}.",
    ProblemCode.TWICE: "{student} is at {place} twice.",
    ProblemCode.NEEDS_FIRST: "{student} needs {first} before {place}.",
    ProblemCode.OUT_OF_SERVICE: "{place} is out of service.",
    ProblemCode.TAKEN: "{place} has two students in slot {slot}. One student works at each machine.",
    ProblemCode.NO_HELPER: "{place} needs {helpers} in slot {slot}.",
    ProblemCode.HELPER_NOT_CLEARED: "{student} may not help at {place}. {why}",
    ProblemCode.GROUP_FULL: "The group at {place} has {count} students. {most} at most.",
    ProblemCode.GROUP_EMPTY: "The group at {place} has no student.",
    ProblemCode.NO_SUCH_SLOT: "The rotation has no slot {slot}.",
    ProblemCode.OVER_TIME: "The plan takes {count} minutes. The period has {most}.",
}


def capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def problem(code: ProblemCode, **parts: object) -> str:
    """The sentence for `code`; a part that is empty leaves no gap."""
    return capital(PROBLEMS[code].format(**parts).strip())


def number(count: int) -> str:
    """ "two", but "13"."""
    return NUMBERS[count] if 0 <= count < len(NUMBERS) else str(count)


def plural(count: int, noun: str) -> str:
    return noun if count == 1 else f"{noun}s"


def counted(count: int, noun: str) -> str:
    """ "one student", "two students" """
    return f"{number(count)} {plural(count, noun)}"


def names(people: Sequence[str]) -> str:
    """ "Efe S.", "Efe S. and Gus P.", "Efe S., Gus P. and Inga V." """
    if len(people) < 2:
        return "".join(people)
    return f"{', '.join(people[:-1])} and {people[-1]}"


def ended(sentence: str) -> str:
    """With one period at its end: a short name brings its own."""
    return sentence.removesuffix(".") + "."


def plan_proof(first: bool, second: bool, gap: float | None, extra_students: int) -> Proof:
    """`first`: nothing gives more students or sign-offs; `second`: nor a fairer choice of students or fewer minutes."""
    if first:
        return Proof(proven=second, gap=0.0, more=0, words=BEST_PLAN if second else f"{BEST_PLAN} {AMONG_EQUALS}")
    words = (
        "No more students can get a new machine."
        if not extra_students
        else _could(extra_students, "student", "get a new machine")
    )
    return Proof(proven=False, gap=gap, more=extra_students, words=f"{TIME_LIMIT} {words}")


def rota_proof(first: bool, second: bool, gap: float | None, extra_turns: int) -> Proof:
    """`first`: nothing fills more turns or is fairer; `second`: nor a better choice of machines."""
    if first:
        return Proof(proven=second, gap=0.0, more=0, words=BEST_ROTA if second else f"{BEST_ROTA} {AMONG_EQUALS}")
    words = (
        "No more turns are possible, but a fairer sharing may be."
        if not extra_turns
        else _could(extra_turns, "turn", "be filled")
    )
    return Proof(proven=False, gap=gap, more=extra_turns, words=f"{TIME_LIMIT} {words}")


def _could(extra: int, noun: str, verb: str) -> str:
    return f"At most {number(extra)} more {plural(extra, noun)} could {verb}."


# --- the plan ---------------------------------------------------------------------------------------------------

TIME_LIMIT = "The search reached its time limit."
AMONG_EQUALS = "Time ran out for choosing the best among equals."
BEST_PLAN = "No other plan gives more students a new machine."
NO_TIME = "Ready for {places}, but the minutes are used up."
NOT_READY = "Not ready for any demonstration today."
LEFT_OUT_BY_HAND = "Left out by the teacher."


def first_machines(people: Sequence[str]) -> str:
    return ended(f"First machine for {names(people)}")


def opens(place: str, count: int) -> str:
    return f"{capital(counted(count, 'student'))} can then show {place} today."


def still_waiting(place: str, count: int) -> str:
    if count == 0:
        return f"Then no one is waiting for {place}."
    return f"{capital(number(count))} more {plural(count, 'student')}, and no one is waiting for {place}."


def set_by_hand(people: Sequence[str]) -> str:
    return ended(f"Placed here by the teacher: {names(people)}")


# --- the rota ---------------------------------------------------------------------------------------------------

BEST_ROTA = "No other rotation fills more turns or shares machine time more fairly."
PLACED = "Placed here by the teacher."
NO_STUDENT = "No student here is cleared on it."
ALL_ELSEWHERE = "Every student cleared on it is at another machine."
OUT_OF_SERVICE = "Out of service."
LEFT_EMPTY_BY_HAND = "Left empty by the teacher."
NO_MACHINE_CLEARED = "Cleared on no machine that is in service."
HELPS = "Helps at {place}."
FIRST_TIME = "First time at {place} this term."


def no_helper(count: int) -> str:
    return f"No run without {counted(count, 'helper')}."


def machine_time(minutes: int, least: int, most: int) -> str:
    """`minutes` before this turn; `least` and `most` before the first turn of the period."""
    time = f"{counted_minutes(minutes)} of machine time this term before this turn"
    return f"{time}, the least here." if minutes == least else f"{time}; the class began today with {least} to {most}."


def every_machine_taken(minutes: int) -> str:
    time = counted_minutes(minutes)
    return f"Every machine is taken. The least machine time goes first, and this student has {time}."


def helped_by(people: Sequence[str]) -> str:
    return ended(f"Helped by {names(people)}")


def counted_minutes(minutes: int) -> str:
    return f"{minutes} {plural(minutes, 'minute')}"
