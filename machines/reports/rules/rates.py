"""Incidents per 1000 hours of runs, with the exact interval of Garwood (1936), and the words for them.

The interval says how far the rate could be by chance alone. Rates are about machines and machine types, never students.
"""

from math import floor, log10

from machines.reports.facts import IncidentRate
from shopsafe.language.messages import _, counted

CONFIDENCE = 0.95


def garwood(events: int, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """Lower and upper bound of the mean of a Poisson count: half the chi-square quantiles at 2k and 2k + 2 degrees.

    Raises ValueError for a negative count or a confidence that is not between 0 and 1.
    """
    if events < 0 or not 0 < confidence < 1:
        raise ValueError("a count is 0 or more, and a confidence is between 0 and 1")
    # Half a chi-square quantile is the inverse of the incomplete gamma function; scipy.stats takes seconds to import.
    from scipy.special import gammaincinv

    tail = (1 - confidence) / 2
    lower = float(gammaincinv(events, tail)) if events else 0.0
    return lower, float(gammaincinv(events + 1, 1 - tail))


def incident_rate(events: int, hours: float, confidence: float = CONFIDENCE) -> IncidentRate | None:
    """The rate per 1000 hours; None where no hours are on record, since there is nothing to divide by."""
    if hours <= 0:
        return None
    lower, upper = (bound / hours * 1000 for bound in garwood(events, confidence))
    return IncidentRate(events, hours, events / hours * 1000, lower, upper, _words(events, hours, lower, upper))


def _words(events: int, hours: float, lower: float, upper: float) -> str:
    """ "3 in 5,400 hours; could be anywhere from 0.1 to 1.6 per 1000" """
    shown = f"{hours:,.0f}" if hours >= 10 else f"{hours:,.1f}"
    count = 1 if shown in ("1", "1.0") else max(2, round(hours))
    time = counted("{hours} hour", "{hours} hours", count=count, hours=shown)
    least, most = _rounded(lower), _rounded(upper)
    if not events:
        return _("None in {time}; could be up to {most} per 1000", time=time, most=most)
    return _(
        "{events} in {time}; could be anywhere from {least} to {most} per 1000",
        events=f"{events:,}",
        time=time,
        least=least,
        most=most,
    )


def _rounded(rate: float) -> str:
    """One decimal below 100, none above; below 0.1 the first digit that counts, so that no chance reads as 0."""
    if rate >= 100:
        return f"{rate:,.0f}"
    return f"{rate:.1f}" if rate >= 0.1 or not rate else f"{rate:.{-floor(log10(rate))}f}"
