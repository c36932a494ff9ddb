"""Checkpoints of the logbook, taken and handed out without a terminal."""

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_POST

from shopsafe.language.messages import _, counted
from shopsafe.logbook import queries
from shopsafe.logbook.acts.note_copy import note_copy
from shopsafe.logbook.acts.take_checkpoint import take_checkpoint
from shopsafe.logbook.models import CheckpointCopy
from shopsafe.logbook.rules.checkpoint_codes import note
from shopsafe.school.pages.guards import SignedInRequest, role
from shopsafe.school.templatetags.drawing import moment
from shopsafe.workers import start_worker


@role("office")
@require_POST
def take(request: SignedInRequest) -> HttpResponse:
    """Takes a checkpoint; mails it from a process of its own, since a mail server may keep one waiting."""
    taken = take_checkpoint()
    message = counted("Checkpoint of {count} entry taken.", "Checkpoint of {count} entries taken.", count=taken.size)
    if settings.CHECKPOINT_MAIL:
        start_worker("logbook", "checkpoint", "--mail")
        message = f"{message} {_('It is being mailed.')}"
    messages.success(request, f"{message} {_('Download it for two people who keep it elsewhere.')}")
    return redirect("logbook")


@role("teacher", "office")
@require_POST
def checkpoint_file(request: SignedInRequest) -> HttpResponse:
    """The last checkpoint as a text file. That it was handed out is noted: it protects entries from then on."""
    last = queries.latest_checkpoint()
    if last is None:
        messages.error(request, _("No checkpoint yet. The office takes the first one."))
        return redirect("logbook")
    at = moment(last.at, request.user.school.time_zone)
    text = note(size=last.size, root=bytes(last.root).hex(), at=at)
    note_copy(checkpoint=last, way=CheckpointCopy.Way.DOWNLOAD)
    name = (
        content_disposition_header(as_attachment=True, filename=_("Logbook checkpoint {size}.txt", size=last.size))
        or ""
    )
    return HttpResponse(text, content_type="text/plain; charset=utf-8", headers={"Content-Disposition": name})
