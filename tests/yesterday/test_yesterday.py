"""Data that an earlier version wrote opens in this one, with the same results.

Each folder here holds the data of a version as it was landed and the day's result it gave. Add a
folder when the tables change; never change one that is here.

v1: the sample day. v2: the sample day, one more box with its weights typed by hand, and three checks of
the scale with test weights: one passed, one failed as new, one given up. v3: three boxes
with their fruit told, one of them counted by a person; two cups of the trim tray filled, one
corrected; an audit of the lot.
"""

import json
import shutil
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from shedstation.bootstrap.headless import check_data, open_ledger, reading_ledger
from shedstation.domain.day import day_json
from shedstation.domain.scale_check import Outcome
from shedstation.domain.scale_tolerance import Stage
from shedstation.station.replay import DayClock
from shedstation.station.station import Station
from shedstation.store import schema
from shedstation.words import Words

VERSIONS = sorted(path for path in Path(__file__).parent.iterdir() if (path / "shed.db").is_file())


@pytest.fixture(params=VERSIONS, ids=lambda path: path.name)
def folder(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    shutil.copytree(request.param, tmp_path / "data")
    return tmp_path / "data"


def expected(folder: Path) -> dict[str, object]:
    said: dict[str, object] = json.loads((folder / "day.json").read_text(encoding="utf-8"))
    return said


def test_that_there_is_data_of_every_version() -> None:
    wanted = [f"v{number}" for number in range(1, schema.VERSION + 1)]
    assert [path.name for path in VERSIONS] == wanted
    for path in VERSIONS:
        with closing(sqlite3.connect(f"file:{path / 'shed.db'}?immutable=1", uri=True)) as raw:
            (found,) = raw.execute("PRAGMA user_version").fetchone()
        assert path.name == f"v{found}"


def test_that_it_opens_for_writing_with_the_same_day(folder: Path) -> None:
    wanted = expected(folder)
    with open_ledger(folder) as ledger:
        record = ledger.day_record(date.fromisoformat(str(wanted["date"])))
    assert day_json(record) == wanted
    assert check_data(folder).damage == ()


def test_that_it_opens_for_reading_only(folder: Path) -> None:
    wanted = expected(folder)
    with reading_ledger(folder) as ledger:
        assert day_json(ledger.day_record(ledger.days()[0])) == wanted


def test_that_a_station_goes_on_from_it(folder: Path) -> None:
    with open_ledger(folder) as ledger:
        number = ledger.next_number("B1")
        clock = DayClock("UTC", None)
        station = Station(ledger=ledger, spool=_NoSpool(), clock=clock, say=Words("en").say)
        assert station.view("B1").next_serial == f"B1-{number:06d}"


def test_that_typed_weights_and_checks_of_version_2_are_still_known(tmp_path: Path) -> None:
    shutil.copytree(Path(__file__).parent / "v2", tmp_path / "data")
    with open_ledger(tmp_path / "data") as ledger:
        last, box = ledger.last_check("B1"), ledger.box("B1-000067")
        clock = DayClock("UTC", None)
        station = Station(ledger=ledger, spool=_NoSpool(), clock=clock, say=Words("en").say)
        assert station.view("B1").scale_failed
    assert last is not None
    assert (last.check.outcome, last.check.stage) == (Outcome.FAILED, Stage.NEW)
    assert len(last.check.points) == 19
    assert box is not None
    assert box.by_hand


def test_that_fruit_cups_and_audits_of_version_3_are_still_known(tmp_path: Path) -> None:
    shutil.copytree(Path(__file__).parent / "v3", tmp_path / "data")
    with open_ledger(tmp_path / "data") as ledger:
        whole, counted, unsure = (ledger.box(f"B1-{number:06d}") for number in (1, 2, 3))
        kept, audit, again = ledger.cups("B1"), ledger.last_audit("B1"), ledger.reweighs()
    assert whole is not None
    assert counted is not None
    assert unsure is not None
    assert whole.fruit is not None
    assert (whole.fruit.count, whole.fruit.kept_code) == (25, "B")
    assert counted.fruit is not None
    assert (counted.count, counted.fruit.count, unsure.fruit_count) == (25, None, None)
    assert [(each.cup, str(each.weight)) for each in kept.cups] == [(1, "1.10 lb")]
    assert audit is not None
    assert [each.serial for each in again].count("B1-000001") == 2


class _NoSpool:
    def hand_over(self, job: object) -> None:
        raise AssertionError(job)
