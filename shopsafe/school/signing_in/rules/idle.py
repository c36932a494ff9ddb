"""When a sign-in ends by itself: a shared laptop that no one uses must not stay open under a student's name."""

from datetime import datetime, timedelta

# Use is noted once a minute, so that reading a page costs no write. A sign-in may last that much longer, never shorter.
NOTED_EVERY = timedelta(minutes=1)
# A school may choose from these, in minutes.
CHOICES = range(2, 481)


def end_of_sign_in(*, began_at: datetime, seen_at: datetime, idle: timedelta, longest: timedelta) -> datetime:
    """Return the moment at which a sign-in ends if the person does nothing after `seen_at`."""
    return min(seen_at + idle + NOTED_EVERY, began_at + longest)


def is_to_be_noted(*, seen_at: datetime, at: datetime) -> bool:
    """Return True if the last noted use is long enough ago to note this one."""
    return at - seen_at >= NOTED_EVERY
