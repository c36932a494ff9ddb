"""The pictures of banks, by their digest: the address and the bytes tell nothing of right or wrong."""

from django.http import HttpResponse
from django.utils.csp import CSP
from django.views.decorators.csp import csp_override
from django.views.decorators.http import require_safe

from quizzes.access import picture_for
from quizzes.banks.pictures.addresses import TYPES
from shopsafe.school.pages.guards import SignedInRequest

# A drawing opened by itself may do nothing at all, whatever is in it.
LOCKED = {"default-src": [CSP.NONE], "style-src": [CSP.UNSAFE_INLINE], "sandbox": ""}


@csp_override(LOCKED)
@require_safe
def picture(request: SignedInRequest, digest: str, kind: str) -> HttpResponse:
    """For everyone of the school who is signed in. The bytes never change under their digest."""
    stored_picture = picture_for(request.user, digest, kind)
    response = HttpResponse(bytes(stored_picture.content), content_type=TYPES[stored_picture.kind])
    response.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    return response
