"""What the logbook says of banks and quizzes, in plain words. Pure: from a payload to a sentence."""

from shopsafe.logbook.sentences import EntryKind, Payload, by, count, name


def quiz(payload: Payload) -> str:
    edition = name(payload, "edition", "")
    what = "refresher" if payload.get("purpose") == "refresher" else "quiz"
    return f"{name(payload, 'bank')} {what}" + (f", edition {edition}" if edition else "")


def on_paper(payload: Payload) -> str:
    """Who entered the sheet; nothing for a quiz on a screen."""
    return f", on paper {payload['on_paper']}, entered by {by(payload)}" if "on_paper" in payload else ""


def passed(payload: Payload) -> str:
    right = f"{payload['correct']} of {payload['asked']} right"
    return f"{name(payload, 'student')} in the {quiz(payload)}, {right}{on_paper(payload)}"


def missed(payload: Payload) -> str:
    rules = count(len(payload["missed_rules"]), "rule", "rules")
    return f"{name(payload, 'student')} in the {quiz(payload)}, {rules} to learn again{on_paper(payload)}"


def practised(payload: Payload) -> str:
    right = f"{payload['correct']} of {payload['asked']} right"
    return f"{name(payload, 'student')} in the {quiz(payload)}, {right}{on_paper(payload)}. It counts for nothing"


def taken_back(payload: Payload) -> str:
    return f"{published(payload)}: {payload['reason'].rstrip('.')}"


def voided(payload: Payload) -> str:
    return f"{name(payload, 'student')} in the {quiz(payload)}, by {by(payload)}: {payload['reason']}"


def published(payload: Payload) -> str:
    return f"{name(payload, 'bank')}, edition {name(payload, 'edition')}, by {by(payload)}"


def offered(payload: Payload) -> str:
    rules = count(len(payload["corrections"]), "correction", "corrections")
    return f"{name(payload, 'bank')}: {rules}. A teacher decides"


def corrected(payload: Payload) -> str:
    return f"{published(payload)}: {'; '.join(row['says'].rstrip('.') for row in payload['corrections'])}"


def declined(payload: Payload) -> str:
    return f"{name(payload, 'bank')}, by {by(payload)}: {payload['reason'].rstrip('.')}"


def value_set(payload: Payload) -> str:
    what = payload.get("says") or payload["value"]  # the code alone in entries from before the words were kept
    to = f"{what} from {payload['before']} to {payload['after']} ({payload['source']})"
    return f"{name(payload, 'bank')}, edition {name(payload, 'edition')}: {to}, by {by(payload)}"


def card_read(payload: Payload) -> str:
    return f"{name(payload, 'student')}, {name(payload, 'bank')}: {payload['rule']['says'].rstrip('.')}"


def reviewed(payload: Payload) -> str:
    who = f"{payload['reviewer']} ({payload['role']}) on {payload['reviewed_on']}"
    why = f": {payload['reason'].rstrip('.')}" if "reason" in payload else ""
    return f"{name(payload, 'bank')}, edition {name(payload, 'edition')}, {who}, recorded by {by(payload)}{why}"


ORIGINS = {"shelf": "from the shelf", "file": "from a file", "nothing": "with nothing in it yet"}


def added(payload: Payload) -> str:
    whose = f", by {by(payload)}" if "by" in payload else ""
    rules = count(payload["rules"], "rule", "rules")
    return f"{name(payload, 'bank')}, {ORIGINS.get(payload['from'], payload['from'])}, {rules}{whose}"


def blueprint_set(payload: Payload) -> str:
    to = payload["blueprint"]
    asks = f"{count(to['ask'], 'question', 'questions')}, {count(len(to['must_ask']), 'rule', 'rules')} every time"
    waits = f"{count(to['wait_minutes'], 'minute', 'minutes')} of waiting"
    misses = count(to["misses_a_day"], "miss", "misses")
    return f"{name(payload, 'bank')}: {asks}, {waits}, {misses} a day, by {by(payload)}"


def key_corrected(payload: Payload) -> str:
    key = f"from “{payload['before']}” to “{payload['after']}”"
    gains = f"{count(payload['gains'], 'student', 'students')} passed by it"
    return (
        f"{name(payload, 'bank')}: {payload['asks']} {key}, by {by(payload)}: {payload['reason'].rstrip('.')}. {gains}"
    )


def regraded(payload: Payload) -> str:
    first = payload["first_graded"]
    graded = f"first {first['correct']} of {first['asked']} right, now all"
    return f"{name(payload, 'student')} in the {quiz(payload)}, {graded}, by a key that {by(payload)} corrected"


WORDS = {
    "blueprint.set": EntryKind("Blueprint set", blueprint_set),
    "bank.added": EntryKind("Bank added", added),
    "attempt.passed": EntryKind("Perfect attempt", passed),
    "attempt.missed": EntryKind("Missed attempt", missed),
    "attempt.practised": EntryKind("Practice", practised),
    "attempt.printed": EntryKind(
        "Quiz on paper", lambda p: f"{name(p, 'student')} gets the {quiz(p)}, code {p['on_paper']}, from {by(p)}"
    ),
    "attempt.regraded": EntryKind("Attempt graded again", regraded),
    "attempt.voided": EntryKind("Attempt taken back", voided),
    "rule.read": EntryKind("Rule card read and recalled", card_read),
    "rule.checked": EntryKind("Check question answered, which counts for nothing", card_read),
    "student.released": EntryKind(
        "Released", lambda p: f"{name(p, 'student')} for another go at the {quiz(p)} by {by(p)}"
    ),
    "edition.published": EntryKind("Edition published", published),
    "value.set": EntryKind("Shop's own number", value_set),
    "figures.added": EntryKind(
        "Figures added", lambda p: f"{name(p, 'bank')}, {count(p['students'], 'first try', 'first tries')}, by {by(p)}"
    ),
    "key.corrected": EntryKind("Key corrected", key_corrected),
    "bank.accepted": EntryKind("Rules accepted", published),
    "bank.reviewed": EntryKind("Rules reviewed", reviewed),
    "bank.review_withdrawn": EntryKind("Review withdrawn", reviewed),
    "bank.correction_offered": EntryKind("Starter bank corrected", offered),
    "bank.corrected": EntryKind("Corrections taken", corrected),
    "bank.correction_declined": EntryKind("Corrections declined", declined),
    "bank.acceptance_taken_back": EntryKind("Acceptance taken back", taken_back),
}
