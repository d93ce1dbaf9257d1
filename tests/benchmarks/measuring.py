"""Measure in pairs and say ratios: both sides run in the same process, in turn."""

import statistics
import time
from collections.abc import Callable


def seconds(work: Callable[[], object]) -> float:
    """Give the seconds a piece of work takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def in_turn(
    ours: Callable[[], object], theirs: Callable[[], object], rounds: int
) -> tuple[float, float]:
    """Run both in turn, once unmeasured, and give the median seconds of each."""
    ours()
    theirs()
    mine, other = [], []
    for _ in range(rounds):
        mine.append(seconds(ours))
        other.append(seconds(theirs))
    return statistics.median(mine), statistics.median(other)


def report(what: str, figure: float, unit: str, limit: str) -> None:
    """Print one line: what was measured, the figure, and what it must hold."""
    print(f"{what:<58} {figure:>12,.3f} {unit:<12} ({limit})")
