"""The act of noting what a reading of the whole logbook found, for the page that says when it was last read."""

from datetime import datetime

from shopsafe.act import act, server_time
from shopsafe.language.kept import as_kept
from shopsafe.language.messages import sentences_kept
from shopsafe.logbook.models import Verification
from shopsafe.logbook.verification.verify import Verdict


@act
def note_verification(*, verdict: Verdict, at: datetime | None = None) -> Verification:
    with sentences_kept():
        fault = as_kept(verdict.says_wrong)
    return Verification.objects.create(at=at or server_time(), size=verdict.entries, root=verdict.root, fault=fault)
