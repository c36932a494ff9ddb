"""Times a deed beside its floor by the processor's time, to which other work on the machine adds little."""

import statistics
from collections.abc import Callable
from time import process_time


def cpu_ratio(floor: Callable[[], object], real: Callable[[], object], *, times: int, rounds: int) -> dict[str, float]:
    """Floor and real thing take turns (A B B A), `times` calls each; the ratio of the fastest turns of each, and the
    middle of the ratios round by round."""
    floors, reals, ratios = [], [], []
    for _ in range(rounds):
        a, b, c, d = (cpu_seconds(deed, times) for deed in (floor, real, real, floor))
        floors += [a, d]
        reals += [b, c]
        ratios.append((b + c) / (a + d))
    return {
        "ratio": round(min(reals) / min(floors), 2),
        "median": round(statistics.median(ratios), 2),
        "floor_ms": round(min(floors) * 1000, 3),
        "real_ms": round(min(reals) * 1000, 3),
    }


def cpu_seconds(deed: Callable[[], object], times: int = 1) -> float:
    """What one call costs, in seconds of the processor."""
    start = process_time()
    for _ in range(times):
        deed()
    return (process_time() - start) / times
