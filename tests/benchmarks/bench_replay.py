"""Carry out the sample day with every commit, PDF apart; with its fruit told and without."""

import statistics
import tempfile
from pathlib import Path

from measuring import report, seconds

from shedstation.bootstrap.headless import open_ledger, replay_day
from shedstation.dayfolder.folder import read_day
from shedstation.domain.chain import derived_uid
from shedstation.labels.spool import CollectingSpool

SAMPLE = Path(__file__).parents[2] / "sample_shed_day"


def once(*, tells_fruit: bool = False) -> tuple[int, float]:
    """Give how many readings the day has, and at which second it ends."""
    day = read_day(SAMPLE)
    with (
        tempfile.TemporaryDirectory() as made,
        open_ledger(Path(made), make_uid=derived_uid) as ledger,
    ):
        spool = CollectingSpool()
        station = replay_day(day, ledger, spool, lambda _at_s: None, tells_fruit=tells_fruit)
        return station.view("B1").readings, day.actions[-1].at_s


def main() -> None:
    readings, lasts_s = once()
    took = statistics.median(seconds(once) for _ in range(5))
    report(
        "replay: readings carried out with all commits",
        readings / took,
        "readings/s",
        "at least 15,000",
    )
    told = statistics.median(seconds(lambda: once(tells_fruit=True)) for _ in range(5))
    report("replay: with the fruit told", lasts_s / told, "times real time", "at least 50")


if __name__ == "__main__":
    main()
