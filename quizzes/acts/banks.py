"""Banks: publish the draft as the next edition."""

from datetime import date, datetime

from django.db import IntegrityError, transaction

from quizzes import queries
from quizzes.bank_checks import ERROR, check
from quizzes.drafts import draft_of
from quizzes.editions import frozen
from quizzes.models import Bank, Edition
from shopsafe.logbook.append import append
from shopsafe.school import access
from shopsafe.school.calendar import end_of_day
from shopsafe.school.models import Person
from shopsafe.school.refusals import Refused

COUNT, UNTIL, STOP = "count", "until", "stop"
RACED = "Somebody published this bank a moment ago. Look at their edition first."


def publish_edition(
    *, by: Person, bank: int, revision: int, earlier: str, until: date | None = None, at: datetime
) -> Edition:
    """Makes the draft the next edition. `earlier` says of passes on earlier editions: count, until (a day), stop.

    Refused: publish.changed, publish.same, publish.raced (409); publish.check, publish.until (422).
    """
    try:
        return _publish(by=by, bank=bank, revision=revision, earlier=earlier, until=until, at=at)
    except IntegrityError as error:
        raise Refused("publish.raced", RACED) from error


@transaction.atomic(durable=True)
def _publish(*, by: Person, bank: int, revision: int, earlier: str, until: date | None, at: datetime) -> Edition:
    access.allow(by, "publish an edition")
    one = access.one_of(queries.banks_for(by).select_for_update(of=("self",)), pk=bank)
    last = one.editions.order_by("-number").first()
    if one.draft_revision != revision:
        raise Refused("publish.changed", "The draft was changed since you looked. Read it once more, then publish.")
    edition = _next(one, last, by, at)
    edition.earlier_passes_count, edition.earlier_passes_until = _earlier(by, earlier, until, at)
    edition.save(force_insert=True)
    append(kind="edition.published", school=one.school_id, at=at, payload=_record(one, edition, by))
    return edition


def _next(bank: Bank, last: Edition | None, by: Person, at: datetime) -> Edition:
    """The edition to be, once its content is found fit and new."""
    draft = draft_of(bank)
    errors = [finding for finding in check(draft.bank) if finding.level == ERROR]
    if errors:
        more = f" And {len(errors) - 1} more." if len(errors) > 1 else ""
        raise Refused("publish.check", f"{errors[0].sentence}{more}", 422)
    content, digest = frozen(draft.bank, draft.pictures)
    if last and last.digest == digest:
        raise Refused("publish.same", f"Nothing has changed since edition {last.number}.")
    return Edition(
        school_id=bank.school_id,
        bank=bank,
        number=last.number + 1 if last else 1,
        content=content,
        digest=digest,
        published_at=at,
        published_by=by,
    )


def _earlier(by: Person, earlier: str, until: date | None, at: datetime) -> tuple[bool, datetime | None]:
    if earlier not in (COUNT, UNTIL, STOP):
        raise Refused("publish.earlier", "Say whether earlier passes still count.", 422)
    if earlier != UNTIL:
        return earlier == COUNT, None
    end = end_of_day(until, by.school.time_zone) if until else None
    if end is None or end <= at:
        raise Refused("publish.until", "Give the last day on which earlier passes count, from today on.", 422)
    return True, end


def _record(bank: Bank, edition: Edition, by: Person) -> dict[str, object]:
    return {
        "by": by.as_record(),
        "bank": {"id": bank.pk, "name": bank.subject},
        "edition": {"id": edition.pk, "name": str(edition.number)},
        "edition_digest": edition.digest,
        "earlier_passes_count": edition.earlier_passes_count,
        "earlier_passes_until": edition.earlier_passes_until,
    }
