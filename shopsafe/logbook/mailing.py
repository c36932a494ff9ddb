"""Mails a checkpoint to the addresses of the settings, so that two people have it outside of this computer."""

from django.conf import settings
from django.core.mail import EmailMessage

from shopsafe.language.messages import _, sentences_kept
from shopsafe.logbook.acts.note_copy import note_copy
from shopsafe.logbook.models import Checkpoint, CheckpointCopy
from shopsafe.logbook.rules.checkpoint_codes import note


@sentences_kept()
def mail_checkpoint(checkpoint: Checkpoint) -> CheckpointCopy:
    """One mail to each address. What could not be sent is noted with the reason, and shown on the Logbook page."""
    problem_sentence = "" if settings.CHECKPOINT_MAIL else _("No address is set (CHECKPOINT_MAIL).")
    text = note(size=checkpoint.size, root=bytes(checkpoint.root).hex(), at=f"{checkpoint.at:%Y-%m-%d %H:%M} UTC")
    for address in settings.CHECKPOINT_MAIL:
        mail = EmailMessage(
            subject=_("Logbook checkpoint, {size} entries", size=checkpoint.size), body=text, to=[address]
        )
        try:
            mail.send()
        except Exception as problem:
            problem_sentence = _("Not sent to {address}: {problem}", address=address, problem=problem)
    return note_copy(checkpoint=checkpoint, way=CheckpointCopy.Way.MAIL, problem=problem_sentence)
