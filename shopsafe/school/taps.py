"""Whether a press of a button was recorded before. Sent again with another body it is refused, not silently dropped.

A page carries a key for one press (`TapForm`). A press may reach the server twice: a double click, a line that broke
before the answer came. The same key with the same body is the same act. With another body, say a hold on one machine
and then on all of them, it is another act.
"""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils.crypto import salted_hmac

from shopsafe.language.messages import _, marked
from shopsafe.logbook.rules import chain
from shopsafe.school.models import Person, Tap
from shopsafe.school.refusals import Refused

OTHER_BODY = marked(
    "This page was sent before, with other entries. Those are recorded, and what you sent now is "
    "not. Check what is recorded, then send this again if it is still needed."
)


def is_repeated(tap: UUID, act: str, *, by: Person, at: datetime, asked: dict[str, Any]) -> bool:
    """Return True if this press is recorded: the act then gives what it gave before. Call it under the act's lock.

    `act` begins the code of the refusal, such as "hold"; `asked` is everything that the act was asked, in the types of
    JSON. Refused: {act}.tap-used (422), if the key was used for anything else.
    """
    body = chain.canonical(chain.plain({"tap": tap, "act": act, "by": by.pk, "asked": asked}))
    digest = salted_hmac("tap", body, algorithm="sha256").hexdigest()
    fields = {"school_id": by.school_id, "act": act, "digest": digest, "at": at}
    recorded, is_new = Tap.objects.get_or_create(key=tap, defaults=fields)
    if recorded.digest != digest:
        raise Refused(f"{act}.tap-used", _(OTHER_BODY), 422)
    return not is_new
