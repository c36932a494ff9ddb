"""The act of noting what a reading of the whole logbook found, for the page that says when it was last read."""

from datetime import datetime

from shopsafe.act import act, server_time
from shopsafe.logbook.models import Verification
from shopsafe.logbook.verification.verify import Verdict


@act
def note_verification(*, verdict: Verdict, at: datetime | None = None) -> Verification:
    return Verification.objects.create(
        at=at or server_time(), size=verdict.entries, root=verdict.root, fault=verdict.says_wrong
    )
