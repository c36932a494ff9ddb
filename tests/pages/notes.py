"""The signed note of an opened card, as the card's page carries it."""

import re
from html import unescape
from urllib.parse import unquote

from django.http import HttpResponse


def note_on(page: HttpResponse, where: str) -> str:
    """The note in a hidden field of this name, or in a link that covers the card."""
    found = re.search(rf'name="{where}" value="([^"]+)"|\?{where}=([^"]+)"', page.content.decode())
    assert found, f"the page carries no note as {where}"
    return unquote(unescape(found[1] or found[2]))
