"""The secret part of the address of an inspection calendar: made from its row and the server's secret."""

from django.utils.crypto import constant_time_compare, salted_hmac

from machines.models import InspectionCalendar


def calendar_key(row: InspectionCalendar) -> str:
    """64 letters that no one can make without the server's secret."""
    return salted_hmac("inspection calendar", f"{row.pk} {row.nonce}", algorithm="sha256").hexdigest()


def is_key_of(row: InspectionCalendar, key: str) -> bool:
    return constant_time_compare(calendar_key(row), key)
