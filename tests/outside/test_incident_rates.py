"""Incident rates against published exact Poisson intervals.

Garwood, F.: Fiducial limits for the Poisson distribution, Biometrika 28 (1936), 437-442 (cited from memory). The
four-digit values are those of any table of the 95 % interval; scipy's chi-square quantiles give the same another way.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chi2, poisson

from machines.reports.rules.rates import garwood, incident_rate


@pytest.mark.parametrize(("events", "lower", "upper"), [(0, 0, 3.6889), (1, 0.0253, 5.5716), (10, 4.7954, 18.3904)])
def test_interval_of_a_count_equals_the_published_one(events, lower, upper):
    assert garwood(events) == (pytest.approx(lower, abs=5e-5), pytest.approx(upper, abs=5e-5))


def test_three_incidents_in_5400_hours_give_the_published_rate():
    rate = incident_rate(3, 5400)
    assert rate.per_1000 == pytest.approx(0.5556, abs=5e-5)
    assert (rate.lower, rate.upper) == (pytest.approx(0.1146, abs=5e-5), pytest.approx(1.6236, abs=5e-5))
    assert (rate.events, rate.hours) == (3, 5400)
    assert rate.words == "3 in 5,400 hours; could be anywhere from 0.1 to 1.6 per 1000"
    assert incident_rate(3, 5400, confidence=0.5).upper < rate.upper


@given(st.integers(0, 2000), st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_interval_equals_the_chi_square_quantiles(events, confidence):
    tail = (1 - confidence) / 2
    lower, upper = garwood(events, confidence)
    assert lower == pytest.approx(chi2.ppf(tail, 2 * events) / 2 if events else 0)
    assert upper == pytest.approx(chi2.ppf(1 - tail, 2 * events + 2) / 2)
    # What makes it exact: at each bound, a count at least as far away has just the probability of a tail.
    assert poisson.cdf(events, upper) == pytest.approx(tail)
    assert not events or poisson.sf(events - 1, lower) == pytest.approx(tail)


@given(st.integers(0, 500), st.floats(0.1, 1e6))
def test_rate_lies_in_its_interval(events, hours):
    rate = incident_rate(events, hours)
    assert rate.lower <= rate.per_1000 <= rate.upper
    assert "e-" not in rate.words


@pytest.mark.parametrize(
    ("events", "hours", "words"),
    [
        (0, 5400, "None in 5,400 hours; could be up to 0.7 per 1000"),
        (1, 40, "1 in 40 hours; could be anywhere from 0.6 to 139 per 1000"),
        (1, 1, "1 in 1.0 hour; could be anywhere from 25.3 to 5,572 per 1000"),
        (2, 10, "2 in 10 hours; could be anywhere from 24.2 to 722 per 1000"),
        (10, 5000, "10 in 5,000 hours; could be anywhere from 1.0 to 3.7 per 1000"),
        (6, 2000, "6 in 2,000 hours; could be anywhere from 1.1 to 6.5 per 1000"),
        (1, 3000, "1 in 3,000 hours; could be anywhere from 0.008 to 1.9 per 1000"),
        (0, 1_000_000, "None in 1,000,000 hours; could be up to 0.004 per 1000"),
    ],
)
def test_words_keep_a_small_chance_from_reading_as_none(events, hours, words):
    assert incident_rate(events, hours).words == words


@pytest.mark.parametrize("hours", [0, -1])
def test_rate_is_empty_without_hours_on_record(hours):
    assert incident_rate(2, hours) is None


@pytest.mark.parametrize(("events", "confidence"), [(-1, 0.95), (1, 0), (1, 1)])
def test_count_or_confidence_out_of_range_is_refused(events, confidence):
    with pytest.raises(ValueError, match="0"):
        garwood(events, confidence)
