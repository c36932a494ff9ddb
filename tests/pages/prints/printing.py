"""What a test asks the Print page for: the page, and one sheet of it."""

from typing import Any

from django.test import Client
from django.urls import reverse

from tests.factories.machines import Floor


def room(client: Client, **query: Any) -> str:
    return client.get(reverse("prints"), query).content.decode()


def make(client: Client, floor: Floor, what: str, **sent: Any) -> bytes:
    address = reverse("print-make", args=[floor.cast.shop.pk, what])
    response = client.post(address, {"paper": "letter", "section": floor.cast.section.pk} | sent)
    assert response.headers["Content-Type"] == "application/pdf", response.content.decode()[-3000:]
    return response.content
