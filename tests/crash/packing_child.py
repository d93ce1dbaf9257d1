"""Pack boxes as fast as can be and tell each on standard output once it is acknowledged."""

import sys
from pathlib import Path

from driving import Driver, Spool

from shedstation.bootstrap.headless import open_ledger
from shedstation.dayfolder.station_file import read_station_file
from shedstation.station.actions import AbandonBox, CloseBox, TareBox

SAMPLE = Path(__file__).parents[2] / "sample_shed_day"


def main(folder: Path) -> None:
    with open_ledger(folder) as ledger:
        bench = Driver(ledger, read_station_file(SAMPLE / "station.toml"), Spool())
        if ledger.open_day() is None:
            bench.open_day()
        bench.shows("0.00")
        if bench.view.step.has_open_box:
            bench.ask(AbandonBox, reason="the station was stopped")
        print("ready", flush=True)
        while True:
            bench.shows("0.00")
            bench.shows("1.64")
            bench.ask(TareBox)
            bench.shows("26.74")
            bench.ask(CloseBox)
            box = bench.view.last_box
            if box is not None:
                print(box.serial, flush=True)
            bench.station.print_next(bench.now)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
