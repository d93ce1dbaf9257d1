"""One frame from its bytes to the screen's values, its fruit told, and a core's share at 1,000 frames a second."""

import gc
import statistics
import tempfile
import time
from pathlib import Path

from driving import Driver, Spool
from measuring import report, seconds

from shedstation.bootstrap.headless import open_ledger
from shedstation.dayfolder.station_file import read_station_file
from shedstation.devices.languages.decode import Decoder
from shedstation.devices.languages.rows import language
from shedstation.domain.day import BoxSum
from shedstation.domain.mass import parse_mass
from shedstation.domain.reading import Reading
from shedstation.presenters.bench import bench_screen
from shedstation.station.actions import TareBox
from shedstation.words import Words

SAMPLE = Path(__file__).parents[2] / "sample_shed_day"
FRAMES = 5000
PAINTS_PER_S = 15


def main() -> None:
    setup = read_station_file(SAMPLE / "station.toml")
    words, today = Words("en"), BoxSum(boxes=41, net=parse_mass("1028.61 lb"))
    with tempfile.TemporaryDirectory() as made, open_ledger(Path(made)) as ledger:
        bench = Driver(ledger, setup, Spool(), tells_fruit=True)
        bench.open_day()
        bench.shows("0.00")
        bench.shows("1.64")
        bench.ask(TareBox)
        decoder = Decoder(language("status-comma"))
        decoder.feed(0.0, b"\r\n")
        gc.freeze()  # as the desktop does

        def hear(number: int) -> None:
            data = f"US,GS,+{number % 2500 / 100 + 1.64:>7.2f}lb\r\n".encode("ascii")
            bench.now += 0.001
            for event in decoder.feed(bench.now, data):
                assert isinstance(event, Reading)
                bench.station.hear("B1", event)

        def to_screen(number: int) -> None:
            hear(number)
            bench_screen(bench.view, setup, words, today, 23)

        each = [seconds(lambda n=number: to_screen(n)) for number in range(FRAMES)]  # type: ignore[misc]
        busy = time.process_time()
        for number in range(FRAMES):
            hear(number)
            if number % (1000 // PAINTS_PER_S) == 0:
                bench_screen(bench.view, setup, words, today, 23)
        share = (time.process_time() - busy) / (FRAMES / 1000)
    report("frame to screen values, median", statistics.median(each) * 1000, "ms", "under 5")
    report("frame to screen values, worst of 5,000", max(each) * 1000, "ms", "under 50")
    report("1,000 frames/s, painted 15 times a second", share * 100, "% of a core", "under 10")


if __name__ == "__main__":
    main()
