"""What the logbook says of banks and quizzes, in plain words. Pure: from a payload to a sentence."""

from shopsafe.language.messages import _, counted, marked
from shopsafe.logbook.sentences import EntryKind, Payload, by, name


def quiz(payload: Payload) -> str:
    """ "Band saw quiz, edition 2"."""
    bank, edition = name(payload, "bank"), name(payload, "edition", "")
    if payload.get("purpose") == "refresher":
        if edition:
            return _("{bank} refresher, edition {edition}", bank=bank, edition=edition)
        return _("{bank} refresher", bank=bank)
    if edition:
        return _("{bank} quiz, edition {edition}", bank=bank, edition=edition)
    return _("{bank} quiz", bank=bank)


def graded(payload: Payload, result: str) -> str:
    """Who took which quiz with which result, and who entered the sheet of a quiz on paper."""
    about = {"student": name(payload, "student"), "quiz": quiz(payload), "result": result}
    if "on_paper" in payload:
        sheet = {"code": payload["on_paper"], "by": by(payload)}
        return _("{student} in the {quiz}, {result}, on paper {code}, entered by {by}", **about, **sheet)
    return _("{student} in the {quiz}, {result}", **about)


def right(payload: Payload) -> str:
    return _("{correct} of {asked} right", correct=payload["correct"], asked=payload["asked"])


def passed(payload: Payload) -> str:
    return graded(payload, right(payload))


def missed(payload: Payload) -> str:
    rules = len(payload["missed_rules"])
    return graded(payload, counted("{count} rule to learn again", "{count} rules to learn again", count=rules))


def practiced(payload: Payload) -> str:
    return _("{result}. It counts for nothing", result=graded(payload, right(payload)))


def taken_back(payload: Payload) -> str:
    return f"{published(payload)}: {_reason(payload)}"


def voided(payload: Payload) -> str:
    return _(
        "{student} in the {quiz}, by {by}: {reason}",
        student=name(payload, "student"),
        quiz=quiz(payload),
        by=by(payload),
        reason=payload["reason"],
    )


def edition(payload: Payload) -> dict[str, str]:
    return {"bank": name(payload, "bank"), "edition": name(payload, "edition"), "by": by(payload)}


def published(payload: Payload) -> str:
    return _("{bank}, edition {edition}, by {by}", **edition(payload))


def offered(payload: Payload) -> str:
    return counted(
        "{bank}: {count} correction. A teacher decides",
        "{bank}: {count} corrections. A teacher decides",
        count=len(payload["corrections"]),
        bank=name(payload, "bank"),
    )


def corrected(payload: Payload) -> str:
    return f"{published(payload)}: {'; '.join(_(row['says']).rstrip('.') for row in payload['corrections'])}"


def declined(payload: Payload) -> str:
    return _("{bank}, by {by}: {reason}", bank=name(payload, "bank"), by=by(payload), reason=_reason(payload))


def _reason(payload: Payload) -> str:
    return str(payload["reason"].rstrip("."))


def value_set(payload: Payload) -> str:
    return _(
        "{bank}, edition {edition}: {value} from {before} to {after} ({source}), by {by}",
        # The code alone in entries from before the words were kept.
        value=payload.get("says") or payload["value"],
        before=payload["before"],
        after=payload["after"],
        source=payload["source"],
        **edition(payload),
    )


def card_read(payload: Payload) -> str:
    return f"{name(payload, 'student')}, {name(payload, 'bank')}: {payload['rule']['says'].rstrip('.')}"


def reviewed(payload: Payload) -> str:
    review = _(
        "{bank}, edition {edition}, {reviewer} ({role}) on {day}, recorded by {by}",
        reviewer=payload["reviewer"],
        role=payload["role"],
        day=payload["reviewed_on"],
        **edition(payload),
    )
    return f"{review}: {_reason(payload)}" if "reason" in payload else review


ORIGINS = {
    "shelf": marked("from the starter banks"),
    "file": marked("from a file"),
    "nothing": marked("with nothing in it yet"),
}


def added(payload: Payload) -> str:
    origin = _(ORIGINS.get(payload["from"], str(payload["from"])))
    rules = counted("{count} rule", "{count} rules", count=payload["rules"])
    bank = name(payload, "bank")
    if "by" in payload:
        return _("{bank}, {origin}, {rules}, by {by}", bank=bank, origin=origin, rules=rules, by=by(payload))
    return f"{bank}, {origin}, {rules}"


def blueprint_set(payload: Payload) -> str:
    to = payload["blueprint"]
    return _(
        "{bank}: {questions}, {rules}, {minutes}, {misses}, by {by}",
        bank=name(payload, "bank"),
        questions=counted("{count} question", "{count} questions", count=to["ask"]),
        rules=counted("{count} rule every time", "{count} rules every time", count=len(to["must_ask"])),
        minutes=counted("{count} minute of waiting", "{count} minutes of waiting", count=to["wait_minutes"]),
        misses=counted("{count} miss a day", "{count} misses a day", count=to["misses_a_day"]),
        by=by(payload),
    )


def key_corrected(payload: Payload) -> str:
    return counted(
        "{bank}: {question} from “{before}” to “{after}”, by {by}: {reason}. {count} student passed by it",
        "{bank}: {question} from “{before}” to “{after}”, by {by}: {reason}. {count} students passed by it",
        count=payload["gains"],
        bank=name(payload, "bank"),
        question=payload["asks"],
        before=payload["before"],
        after=payload["after"],
        by=by(payload),
        reason=_reason(payload),
    )


def regraded(payload: Payload) -> str:
    first = payload["first_graded"]
    return _(
        "{student} in the {quiz}, first {correct} of {asked} right, now all, by a key that {by} corrected",
        student=name(payload, "student"),
        quiz=quiz(payload),
        correct=first["correct"],
        asked=first["asked"],
        by=by(payload),
    )


def printed(payload: Payload) -> str:
    return _(
        "{student} gets the {quiz}, code {code}, from {by}",
        student=name(payload, "student"),
        quiz=quiz(payload),
        code=payload["on_paper"],
        by=by(payload),
    )


def released(payload: Payload) -> str:
    return _(
        "{student} for another go at the {quiz} by {by}",
        student=name(payload, "student"),
        quiz=quiz(payload),
        by=by(payload),
    )


def figures_added(payload: Payload) -> str:
    return counted(
        "{bank}, {count} first try, by {by}",
        "{bank}, {count} first tries, by {by}",
        count=payload["students"],
        bank=name(payload, "bank"),
        by=by(payload),
    )


WORDS = {
    "blueprint.set": EntryKind(marked("Quiz settings changed"), blueprint_set),
    "bank.added": EntryKind(marked("Bank added"), added),
    "attempt.passed": EntryKind(marked("Perfect attempt"), passed),
    "attempt.missed": EntryKind(marked("Missed attempt"), missed),
    "attempt.practiced": EntryKind(marked("Practice"), practiced),
    "attempt.printed": EntryKind(marked("Quiz on paper"), printed),
    "attempt.regraded": EntryKind(marked("Attempt graded again"), regraded),
    "attempt.voided": EntryKind(marked("Attempt voided"), voided),
    "rule.read": EntryKind(marked("Rule card read and recalled"), card_read),
    "rule.checked": EntryKind(marked("Check question answered, which counts for nothing"), card_read),
    "student.released": EntryKind(marked("Released"), released),
    "edition.published": EntryKind(marked("Edition published"), published),
    "value.set": EntryKind(marked("Shop's own number"), value_set),
    "figures.added": EntryKind(marked("Figures added"), figures_added),
    "key.corrected": EntryKind(marked("Key corrected"), key_corrected),
    "bank.accepted": EntryKind(marked("Rules accepted"), published),
    "bank.reviewed": EntryKind(marked("Rules reviewed"), reviewed),
    "bank.review_withdrawn": EntryKind(marked("Review withdrawn"), reviewed),
    "bank.correction_offered": EntryKind(marked("Starter bank corrected"), offered),
    "bank.corrected": EntryKind(marked("Corrections taken"), corrected),
    "bank.correction_declined": EntryKind(marked("Corrections declined"), declined),
    "bank.acceptance_taken_back": EntryKind(marked("Approval withdrawn"), taken_back),
}
