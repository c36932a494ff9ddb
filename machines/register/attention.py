"""Whether a clearance ends soon."""

from datetime import datetime

from machines.clearance.facts import ClearanceResult, StatusOnly
from machines.clearance.rules.next_steps import SOON


def lapses_soon(answer: ClearanceResult | StatusOnly, at: datetime) -> bool:
    """Cleared, and not for longer than fourteen days if nothing happens."""
    return answer.cleared and answer.ending is not None and answer.ending.at - at <= SOON
