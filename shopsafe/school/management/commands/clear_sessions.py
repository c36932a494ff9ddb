"""manage.py clear_sessions: deletes the sign-ins that have ended, and prints how many."""

import json
from typing import Any

from django.utils import timezone

from shopsafe.language.commands import TranslatedCommand
from shopsafe.language.messages import marked
from shopsafe.school.signing_in.sessions.lifetime import clear_ended_sessions

PIECE = 500  # rows in one transaction: people go on working beside it


class Command(TranslatedCommand):
    help = marked("Deletes the sign-ins that have ended, and prints how many.")

    def handle(self, **options: Any) -> None:
        cleared, at = 0, timezone.now()
        while piece := clear_ended_sessions(at, PIECE):
            cleared += piece
        self.stdout.write(json.dumps({"cleared": cleared}))
