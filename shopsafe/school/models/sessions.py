"""Sessions: the browsers in which someone is signed in."""

from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models

from shopsafe.school.models.people import Person


class Session(AbstractBaseSession):
    """One sign-in of one person in one browser. Signing out deletes it; so does everything that ends a sign-in.

    `expire_date` is the moment at which it ends if the person does nothing more.
    """

    person = models.ForeignKey(Person, models.CASCADE, null=True, related_name="sessions")
    began_at = models.DateTimeField()
    seen_at = models.DateTimeField("last noted use, to the minute")

    def __str__(self) -> str:
        return f"session of {self.person}"
