"""A process takes a job of the night, says that it is still at it, and says what became of it."""

from datetime import datetime
from uuid import UUID

from shopsafe.act import act, server_time
from shopsafe.language.kept import as_kept
from shopsafe.school.jobs.queries import state_of, zone_of_the_night
from shopsafe.school.jobs.rules import has_stopped, is_due
from shopsafe.school.models import Job


@act
def claim_job(*, code: str, claim: UUID, anyway: bool = False, at: datetime | None = None) -> bool:
    """Whether the process of this claim is to run the job: it is due, and no other process runs it. `anyway`: also
    where it is not due. Of two servers that ask at the same moment one gets it."""
    at = at or server_time()
    job, _created = Job.objects.get_or_create(code=code)
    state = state_of(job)
    if not anyway and not is_due(state, at, zone_of_the_night()):
        return False
    if state.running and not has_stopped(state, at):
        return False
    as_it_was = Job.objects.filter(pk=job.pk, claim=job.claim, began_at=job.began_at)
    return bool(as_it_was.update(claim=claim, began_at=at, beat_at=at))


@act
def beat(*, code: str, claim: UUID, at: datetime | None = None) -> None:
    """The process of this claim still runs the job."""
    Job.objects.filter(code=code, claim=claim).update(beat_at=at or server_time())


@act
def end_job(*, code: str, claim: UUID, result: str, failed: bool, at: datetime | None = None) -> None:
    """The run is over. A process whose job was taken over in the meantime changes nothing."""
    at = at or server_time()
    ended = {"claim": None, "ended_at": at, "failed": failed, "result": as_kept(result, 500)}
    if not failed:
        ended["succeeded_at"] = at
    Job.objects.filter(code=code, claim=claim).update(**ended)
