"""What each job of the night does: it returns a sentence about what was done, or raises JobFailed with the reason."""

from collections.abc import Callable
from datetime import datetime

from django.conf import settings

from machines.jobs.backup import keep_a_backup
from machines.jobs.failing import JobFailed
from machines.records import erasure
from machines.records.acts import BY_RULE, erase_student
from shopsafe.database.sweeping import sweep
from shopsafe.language.kept import together
from shopsafe.language.messages import _, counted, marked
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.logbook.mailing import mail_checkpoint
from shopsafe.logbook.models import CheckpointCopy, Listing
from shopsafe.logbook.rules import chain
from shopsafe.school.clock import school_moment
from shopsafe.school.models import Job, School
from shopsafe.school.refusals import Refused

NOT_SWEPT = marked("The disk still holds what was erased, because someone was reading. The next run tries again.")


def checkpoint(at: datetime) -> str:
    """A checkpoint of the logbook, mailed where addresses are set and it was not mailed before."""
    taken = take_checkpoint(at=at)
    done = counted("{count} entry.", "{count} entries.", count=taken.size)
    mailed = taken.copies.filter(way=CheckpointCopy.Way.MAIL, problem="").exists()
    if not settings.CHECKPOINT_MAIL or mailed:
        return done
    copy = mail_checkpoint(taken)
    if copy.problem:
        raise JobFailed(copy.problem)
    return together([done, _("Mailed.")])


def retention(at: datetime) -> str:
    """Erases the records that are due by each school's rule, and sweeps the disk of what was erased since last time."""
    erased, refused = 0, []
    for school in School.objects.order_by("pk"):
        for leaver in erasure.due_for_erasure(school, school_moment(school.pk)):
            try:
                erase_student(student=leaver.student, reason=BY_RULE, by=None)
                erased += 1
            except Refused as refusal:
                refused.append(refusal.code)
    if (erased or _erased_since_last_time()) and not sweep():
        raise JobFailed(_(NOT_SWEPT))
    if refused:
        problem = counted(
            "{count} record was due and could not be erased: see the retention page.",
            "{count} records were due and could not be erased: see the retention page.",
            count=len(refused),
        )
        raise JobFailed(problem)
    return counted("{count} record erased.", "{count} records erased.", count=erased)


def _erased_since_last_time() -> bool:
    last = Job.objects.filter(code="retention").values_list("succeeded_at", flat=True).first()
    erasures = Listing.objects.filter(kind=chain.ERASED)
    return (erasures.filter(at__gte=last) if last else erasures).exists()


WORK: dict[str, Callable[[datetime], str]] = {
    "checkpoint": checkpoint,
    "backup": keep_a_backup,
    "retention": retention,
}
