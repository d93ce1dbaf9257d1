"""Carry out the sample day with every commit, PDF apart."""

import statistics
import tempfile
from pathlib import Path

from measuring import report, seconds

from shedstation.bootstrap.headless import open_ledger, replay_day
from shedstation.dayfolder.folder import read_day
from shedstation.domain.chain import derived_uid
from shedstation.labels.spool import CollectingSpool

SAMPLE = Path(__file__).parents[2] / "sample_shed_day"


def once() -> int:
    day = read_day(SAMPLE)
    with (
        tempfile.TemporaryDirectory() as made,
        open_ledger(Path(made), make_uid=derived_uid) as ledger,
    ):
        station = replay_day(day, ledger, CollectingSpool(), lambda _at_s: None)
        return station.view("B1").readings


def main() -> None:
    readings = once()
    took = statistics.median(seconds(once) for _ in range(5))
    report(
        "replay: readings carried out with all commits",
        readings / took,
        "readings/s",
        "at least 15,000",
    )


if __name__ == "__main__":
    main()
