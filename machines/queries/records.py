"""Rows of the records that acts and pages ask for."""

from datetime import date

from django.db.models import QuerySet

from machines.models import Machine, SignOff
from shopsafe.school.models import Enrolment, Person, Term


def standing_sign_off(student: Person, machine: Machine) -> SignOff | None:
    """The latest sign-off on this very machine that was neither undone nor withdrawn, run out or not."""
    stands = SignOff.objects.filter(student=student, machine=machine, undone_at=None, withdrawn_at=None)
    return stands.select_related("by").order_by("at", "pk").last()


def terms_in_shop(student: Person, shop_id: int, day: date) -> QuerySet[Term]:
    """The terms, running on `day`, of the student's classes in a shop."""
    enrolled = Enrolment.objects.filter(student=student, section__shop=shop_id, from_day__lte=day)
    sections = enrolled.exclude(until_day__lt=day).values("section")
    return Term.objects.filter(sections__in=sections, first_day__lte=day, last_day__gte=day).distinct()
