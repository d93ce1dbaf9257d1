"""What telling fruit costs at each reading, with the learning of the scale's response in it."""

import statistics
import time
from collections.abc import Iterator

from fruit_benches import BENCHES, tell_boxes
from measuring import report

SHOWN = (
    "1.0 s, pole 0.12 s",
    "1.0 s, average 0.25 s",
    "1.5 s, slow average",
    "1.0 s, grams, twenty a second",
)
BOXES = 5
"""The response is learned during the first ones."""


def costs(name: str) -> Iterator[float]:
    """Give the milliseconds of each reading."""
    before = time.perf_counter()
    for _ in tell_boxes(BENCHES[name], first=1, boxes=BOXES):
        now = time.perf_counter()
        yield 1000 * (now - before)
        before = time.perf_counter()


def main() -> None:
    for name in SHOWN:
        took = sorted(costs(name))
        report(f"fruit told, {name}: mean", statistics.mean(took), "ms/reading", "under 3")
        report(f"fruit told, {name}: worst of {len(took)}", took[-1], "ms", "under 50")


if __name__ == "__main__":
    main()
