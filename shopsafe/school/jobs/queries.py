"""What is known of the jobs of the night. Nothing here writes."""

from dataclasses import dataclass
from datetime import datetime

from shopsafe.language.kept import kept_words
from shopsafe.language.messages import _
from shopsafe.school.jobs.rules import NAMES, JobState, problem
from shopsafe.school.models import Job, School


@dataclass(frozen=True)
class JobLine:
    """A job as the office reads of it. `problem` is "" where all is well."""

    name: str
    running: bool
    succeeded_at: datetime | None
    result: str
    problem: str


def state_of(job: Job) -> JobState:
    return JobState(job.began_at, job.beat_at, job.claim is not None, job.failed, job.result, job.succeeded_at)


def job_lines(at: datetime) -> list[JobLine]:
    """Every job in the order in which they run. One query."""
    states = {job.code: state_of(job) for job in Job.objects.all()}
    return [_line(_(name), states.get(code, JobState()), at) for code, name in NAMES.items()]


def _line(name: str, state: JobState, at: datetime) -> JobLine:
    return JobLine(name, state.running, state.succeeded_at, kept_words(state.result), problem(state, at))


def zone_of_the_night() -> str:
    """The time zone that decides when it is night: of the first school of this server."""
    school = School.objects.order_by("pk").first()
    return school.time_zone if school else "UTC"
