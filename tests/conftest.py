import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from collections.abc import Iterator
from pathlib import Path

import pytest
from cup_packer import Packer, packer_with_cups
from driving import Driver, Spool
from hypothesis import settings

from shedstation.bootstrap.headless import open_ledger
from shedstation.dayfolder.station_file import read_station_file
from shedstation.domain.box import Box
from shedstation.domain.farm import Setup
from shedstation.station.actions import CloseBox, TareBox
from shedstation.store.ledger import SqlLedger
from shedstation.words import Words

SAMPLE = Path(__file__).parents[1] / "sample_shed_day"
IS_LONG = bool(os.environ.get("SHEDSTATION_LONG"))

# A slow machine must not fail a test; the long run looks at many more cases, each time others.
settings.register_profile("usual", deadline=None)
settings.register_profile("long", deadline=None, max_examples=5000)
settings.load_profile("long" if IS_LONG else "usual")


@pytest.fixture(scope="session")
def sample_setup() -> Setup:
    return read_station_file(SAMPLE / "station.toml")


@pytest.fixture(scope="session")
def words() -> Words:
    return Words("en")


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[SqlLedger]:
    with open_ledger(tmp_path / "data") as opened:
        yield opened


@pytest.fixture
def bench(ledger: SqlLedger, sample_setup: Setup) -> Driver:
    """A bench of the sample farm, its day open, load L1 and the 25 lb flat chosen."""
    driver = Driver(ledger, sample_setup, Spool())
    driver.open_day()
    return driver


@pytest.fixture
def packer(ledger: SqlLedger, sample_setup: Setup) -> Packer:
    """A packer with four cups beside the scale and a box tared."""
    return packer_with_cups(ledger, sample_setup)


@pytest.fixture
def box(bench: Driver) -> Box:
    """A box of 25.10 lb, closed at the bench."""
    bench.shows("0.00")
    bench.shows("1.64")
    bench.ask(TareBox)
    bench.shows("26.74")
    bench.ask(CloseBox)
    return bench.boxes[0]
