"""How many fruit are told singly, and what that costs at each reading, learning included."""

import statistics
import time
from collections.abc import Iterator

from fruit_benches import BENCHES, tell_boxes
from fruit_scoring import Score
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


def told() -> None:
    """Print the shares of each bench; what must be reached stands beside them."""
    print(f"{'fruit told of boxes packed one after the other':<34}{'singly':>8}{'at least':>9}{'false':>8}"
          f"{'unsure':>8}{'lumps told':>12}{'flagged':>9}")  # fmt: skip
    for name, bench in BENCHES.items():
        total = Score()
        for box in tell_boxes(bench, first=1000, boxes=10):
            total += box or Score()
        print(f"{name:<34}{total.told_share:>8.3f}{bench.told:>9.2f}{total.false_share:>8.4f}"
              f"{total.unsure_share:>8.3f}{total.lumps_told:>7} of {total.lumps:<2}{total.lumps_flagged:>8}")  # fmt: skip


def main() -> None:
    told()
    for name in SHOWN:
        took = sorted(costs(name))
        report(f"fruit told, {name}: mean", statistics.mean(took), "ms/reading", "under 3")
        report(f"fruit told, {name}: worst of {len(took)}", took[-1], "ms", "under 50")


if __name__ == "__main__":
    main()
