"""What is remembered of the devices that people sign in on: a random number in a cookie, here only as a digest."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy

from shopsafe.school.models.people import Person


class KnownDevice(models.Model):
    """A device on which a person has signed in."""

    person = models.ForeignKey(Person, models.CASCADE, related_name="known_devices")
    device = models.CharField("SHA-256 of the cookie's number", max_length=64)
    last_at = models.DateTimeField("last sign-in there")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["person", "device"],
                name="device_known_once_a_person",
                violation_error_message=gettext_lazy("This device is known already."),
            )
        ]

    def __str__(self) -> str:
        return f"device of {self.person}"


class WrongCodes(models.Model):
    """The wrong codes that one device gave for one name since the last right one. The name may be no one's: it is kept
    as a keyed digest, since people type passwords into the wrong field."""

    device = models.CharField("SHA-256 of the cookie's number", max_length=64)
    name_digest = models.CharField(max_length=64)
    person = models.ForeignKey(Person, models.CASCADE, null=True, related_name="wrong_codes")
    count = models.PositiveIntegerField(default=0)
    last_at = models.DateTimeField(db_index=True)
    locked_at = models.DateTimeField("when the count reached the limit", null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["device", "name_digest"],
                name="wrong_codes_once_a_device_and_name",
                violation_error_message=gettext_lazy("These wrong codes are counted already."),
            ),
            models.CheckConstraint(
                name="wrong_codes_are_some",
                condition=Q(count__gte=1),
                violation_error_message=gettext_lazy("At least one wrong code."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.count} wrong codes"
