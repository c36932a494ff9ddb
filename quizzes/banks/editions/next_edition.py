"""The edition that comes next, before it is saved; and how the logbook names one. Acts that publish share it."""

from datetime import date, datetime

from quizzes.access import banks_for
from quizzes.banks.editions.texts import frozen
from quizzes.banks.rules.checks import check
from quizzes.banks.rules.findings import ERROR
from quizzes.facts import EditionText
from quizzes.models import Bank, Edition
from shopsafe.language.messages import _, marked
from shopsafe.school import access
from shopsafe.school.calendar import end_of_day
from shopsafe.school.clock import act_moment
from shopsafe.school.locks import lock_school, locked
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

COUNT, UNTIL, STOP = "count", "until", "stop"
RACED = marked("Someone published this bank a moment ago. Look at their edition first.")


def open_bank(by: Person, bank: int, at: datetime | None) -> tuple[Bank, datetime]:
    """The bank and the moment. The school is held alone: what a student has passed depends on editions."""
    lock_school(by.school_id)
    return access.one_of(locked(banks_for(by)), pk=bank), act_moment(by.school_id, at)


def may_approve(by: Person) -> None:
    """A teacher who has a shop: the rules are read against the manuals of the machines in it."""
    access.allow(by, "accept a bank")
    if not access.shops_for(by).exists():
        raise Refused(
            "accept.no-shop", _("Only a teacher of a shop accepts rules. Ask the office to add you to one."), 403
        )


def next_edition(bank: Bank, last: Edition | None, text: EditionText, by: Person, at: datetime) -> Edition:
    """Return the next edition of a bank, not saved yet, once its text is found fit and new.

    Refused: publish.check (422), publish.same (409).
    """
    errors = [finding for finding in check(text.bank) if finding.level == ERROR]
    if errors:
        sentence = errors[0].sentence
        if len(errors) > 1:
            sentence = _("{finding} And {count} more.", finding=sentence, count=len(errors) - 1)
        raise Refused("publish.check", sentence, 422)
    content, digest = frozen(text.bank, text.pictures)
    if last and last.digest == digest:
        raise Refused("publish.same", _("Nothing has changed since edition {number}.", number=last.number))
    return Edition(
        school_id=bank.school_id,
        bank=bank,
        number=last.number + 1 if last else 1,
        content=content,
        digest=digest,
        published_at=at,
        published_by=by,
    )


def earlier_passes(by: Person, earlier: str, until: date | None, at: datetime) -> tuple[bool, datetime | None]:
    """Whether passes on earlier editions count, and until when. Refused: publish.earlier, publish.until (422)."""
    if earlier not in (COUNT, UNTIL, STOP):
        raise Refused("publish.earlier", _("Say whether earlier passes still count."), 422)
    if earlier != UNTIL:
        return earlier == COUNT, None
    end = end_of_day(until, by.school.time_zone) if until else None
    if end is None or end <= at:
        raise Refused("publish.until", _("Give the last day on which earlier passes count, from today on."), 422)
    return True, end


def edition_record(bank: Bank, edition: Edition, by: Person, *, approved: bool) -> dict[str, object]:
    """What the entry of a new edition says. `approved`: the same act approves its rules, by an entry of its own."""
    return about_edition(bank, edition, by) | {
        "approved": approved,
        "earlier_passes_count": edition.earlier_passes_count,
        "earlier_passes_until": edition.earlier_passes_until,
    }


def about_edition(bank: Bank, edition: Edition, by: Person) -> dict[str, object]:
    return {
        "by": by.as_record(),
        "bank": {"id": bank.pk, "name": bank.subject},
        "edition": {"id": edition.pk, "name": str(edition.number)},
        "edition_digest": edition.digest,
    }
