"""How long a reading takes at a bench with six cups, from the scale to the advice on the screen's value."""

import tempfile
import time
from pathlib import Path
from random import Random

from cup_packer import Packer, with_cups
from driving import Spool
from measuring import report

from shedstation.bootstrap.headless import open_ledger
from shedstation.dayfolder.station_file import read_station_file
from shedstation.station.actions import TellCup

FRUIT = 22
SAMPLE = Path(__file__).parents[2] / "sample_shed_day"


class Timed(Packer):
    """A packer who notes how long each reading took."""

    slowest_s = 0.0

    def hear(self, *shown: object, **rest: object) -> None:
        start = time.perf_counter()
        super().hear(*shown, **rest)  # type: ignore[arg-type]  # handed on as it is
        assert self.view.trim is not None
        self.slowest_s = max(self.slowest_s, time.perf_counter() - start)


def main() -> None:
    setup = read_station_file(SAMPLE / "station.toml")
    dice = Random(3)
    with tempfile.TemporaryDirectory() as folder, open_ledger(Path(folder)) as ledger:
        packer = Timed(ledger, with_cups(setup, 6), Spool(), tells_fruit=True)
        packer.open_day()
        packer.tare()
        packer.moves(104, 98)
        for cup in range(1, 7):
            weight = round(dice.gauss(105, 16))
            packer.moves(weight)
            packer.moves(-weight)
            packer.ask(TellCup, cup=cup)
        packer.moves(*(round(dice.gauss(105, 16)) for _ in range(FRUIT)))
    report("trim: slowest reading with six cups", packer.slowest_s * 1000, "ms", "at most 50")


if __name__ == "__main__":
    main()
