"""Close a box, beside one bare sqlite3 transaction (WAL, FULL) that writes the same rows."""

import sqlite3
import statistics
import tempfile
from pathlib import Path

from driving import Driver, Spool
from measuring import report, seconds

from shedstation.bootstrap.headless import open_ledger
from shedstation.dayfolder.station_file import read_station_file
from shedstation.station.actions import CloseBox, TareBox

SAMPLE = Path(__file__).parents[2] / "sample_shed_day"
BOXES = 300


def rows_of_last_box(raw: sqlite3.Connection) -> list[tuple[str, tuple[object, ...]]]:
    """Give the statements that wrote the last box, with their values."""
    facts = raw.execute("SELECT * FROM facts ORDER BY nr DESC LIMIT 2").fetchall()
    box = raw.execute("SELECT * FROM boxes ORDER BY nr DESC LIMIT 1").fetchone()
    job = raw.execute("SELECT * FROM label_jobs ORDER BY nr DESC LIMIT 1").fetchone()
    bench = raw.execute("SELECT * FROM benches").fetchone()
    return [
        *((f"INSERT INTO facts VALUES ({marks(row)})", row) for row in reversed(facts)),
        (f"INSERT INTO boxes VALUES ({marks(box)})", box),
        (f"INSERT INTO label_jobs VALUES ({marks(job)})", job),
        (f"INSERT OR REPLACE INTO benches VALUES ({marks(bench)})", bench),
    ]


def marks(row: tuple[object, ...]) -> str:
    return ", ".join("?" * len(row))


class Bare:
    """A bare connection to a database with the same tables."""

    def __init__(self, source: Path, folder: Path) -> None:
        with sqlite3.connect(source) as raw:
            self.rows = rows_of_last_box(raw)
            schema = [
                row[0] for row in raw.execute("SELECT sql FROM sqlite_master WHERE sql NOT NULL")
            ]
        self.conn = sqlite3.connect(folder / "bare.db", isolation_level=None)
        self.conn.execute("PRAGMA journal_mode=WAL").close()
        self.conn.execute("PRAGMA synchronous=FULL").close()
        for sql in schema:
            self.conn.execute(sql)
        self.number = 10**6

    def write(self) -> None:
        """Write one box's rows in one transaction, keys made new."""
        self.number += 2
        self.conn.execute("BEGIN IMMEDIATE")
        for place, (sql, row) in enumerate(self.rows):
            self.conn.execute(sql, self._fresh(place, row))
        self.conn.execute("COMMIT")

    def _fresh(self, place: int, row: tuple[object, ...]) -> tuple[object, ...]:
        number = self.number
        if place in (0, 1):
            return (row[0], number + place, number + place, f"uid-{number + place}", *row[4:])
        if place in (2, 3):
            return (f"X-{number}", number, *row[2:])
        return row


def main() -> None:
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        with open_ledger(folder / "data") as ledger:
            bench = Driver(ledger, read_station_file(SAMPLE / "station.toml"), Spool())
            bench.open_day()
            fill(bench)
            bench.ask(CloseBox)
            bare = Bare(folder / "data" / "shed.db", folder)
            ours, theirs = [], []
            for _ in range(BOXES):
                fill(bench)
                ours.append(seconds(lambda: bench.ask(CloseBox)))
                theirs.append(seconds(bare.write))
            assert len(bench.boxes) == BOXES + 1
    mine, other = statistics.median(ours), statistics.median(theirs)
    report("box close: station, ledger, chain, label queued", mine * 1000, "ms", "figure")
    report("box close: bare sqlite3, the same rows", other * 1000, "ms", "figure")
    report("box close: ours beside bare sqlite3", mine / other, "times", "at most 3")


def fill(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.ask(TareBox)
    bench.shows("26.74")


if __name__ == "__main__":
    main()
