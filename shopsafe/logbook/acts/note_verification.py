"""The act of noting what a reading of the whole logbook found, for the page that says when it was last read."""

from datetime import datetime

from django.db import transaction

from shopsafe.logbook.models import Verification
from shopsafe.logbook.verification.verify import Verdict


@transaction.atomic(durable=True)
def note_verification(*, verdict: Verdict, at: datetime) -> Verification:
    return Verification.objects.create(at=at, size=verdict.entries, root=verdict.root, fault=verdict.says_wrong)
