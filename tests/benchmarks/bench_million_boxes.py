"""Ask a store with a million boxes what the screens ask, and see the growth from ten thousand."""

import statistics
import tempfile
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

from measuring import report, seconds
from sqlalchemy import insert

from shedstation.bootstrap.headless import open_ledger
from shedstation.domain.culls import culls_by_defect
from shedstation.store import tables as t
from shedstation.store.ledger import SqlLedger

A_DAY = 200
CULLS_A_DAY = 60
FIRST = date(2016, 1, 1)
BATCH = 20_000
FOUR_WEEKS = timedelta(days=27)


def box_row(number: int) -> dict[str, object]:
    day = FIRST + timedelta(days=number // A_DAY % 3650)
    return {
        "serial": f"B1-{number:06d}", "nr": number, "lot": f"{number // 50 % 1_000_000:06d}", "load": f"L{number // 50}",
        "block": "WR", "cultivar": "KENT", "picked_on": day.isoformat(), "packed_on": day.isoformat(),
        "pack": "Flat 25 lb", "grade": "1", "gross": f"26.{64 + number % 31} lb", "tare": "1.64 lb", "tare_by": "station",
        "net": f"25.{number % 31:02d} lb", "net_on_label": "25 lb", "verdict": "on", "override_reason": None, "count": None,
        "voided": False, "void_reason": None, "at": f"{day}T10:00:00.000Z", "bench": "B1", "by": "ana",
        "revision": 1, "room": None, "dispatched_to": None,
    }  # fmt: skip


def cull_row(number: int) -> dict[str, object]:
    day = FIRST + timedelta(days=number // CULLS_A_DAY % 3650)
    return {
        "id": f"C{number}", "nr": number, "day": day.isoformat(), "load": "L1", "lot": "616901", "block": "WR",
        "cultivar": "KENT", "defect": ("LATEX", "CUT", "BRUISE", "SER")[number % 4], "count": number % 5 + 1,
        "weight": None, "where": "bench", "at": f"{day}T10:00:00.000Z", "by": None, "corrected": False,
    }  # fmt: skip


def fill(ledger: SqlLedger, first: int, last: int) -> None:
    """Build rows in bulk, as a store that has grown for years has them."""
    for start in range(first, last, BATCH):
        end = min(start + BATCH, last)
        with ledger.connection() as conn:
            conn.execute(insert(t.boxes), [box_row(number) for number in range(start, end)])
            culls = range(start * CULLS_A_DAY // A_DAY, end * CULLS_A_DAY // A_DAY)
            conn.execute(insert(t.culls), [cull_row(number) for number in culls])


def questions(ledger: SqlLedger) -> dict[str, Callable[[], object]]:
    today = FIRST + timedelta(days=30)
    return {
        "today's list": lambda: ledger.boxes_on(today),
        "a lot's boxes": lambda: ledger.boxes_of_lot("000080"),
        "culls by defect": lambda: culls_by_defect(ledger.culls_on(today)),
        "fills of four weeks": lambda: ledger.fills_between(today - FOUR_WEEKS, today),
        "culls of four weeks": lambda: ledger.cull_days(today - FOUR_WEEKS, today),
    }


def asked(ledger: SqlLedger) -> dict[str, float]:
    return {
        name: statistics.median(seconds(ask) for _ in range(9)) * 1000
        for name, ask in questions(ledger).items()
    }


def main() -> None:
    with tempfile.TemporaryDirectory() as made, open_ledger(Path(made)) as ledger:
        fill(ledger, 0, 10_000)
        small = asked(ledger)
        fill(ledger, 10_000, 1_000_000)
        large = asked(ledger)
        assert questions(ledger)["today's list"]()
    for name, took in large.items():
        report(f"1,000,000 boxes: {name}", took, "ms", "under 200")
        report(
            f"1,000,000 boxes: {name}, growth from 10,000", took / small[name], "times", "figure"
        )


if __name__ == "__main__":
    main()
