"""The check word of one student today, with this installation's secret."""

from datetime import datetime

from django.conf import settings

from shopsafe.school.calendar import local_day
from shopsafe.school.models import Person
from shopsafe.school.signing_in.rules.check_words import check_word


def word_of(student: Person, at: datetime) -> str:
    return check_word(student.pk, local_day(at, student.school.time_zone), settings.SECRET_KEY)
