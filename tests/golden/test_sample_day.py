"""The sample day gives what is published beside it, every time; every bar code is read back."""

import json
from datetime import date
from pathlib import Path

import make_sample_day
import pytest
from conftest import SAMPLE
from driving import Driver, Spool
from readback import codes_on_pages, text_of_pages

from shedstation.bootstrap.headless import (
    check_data,
    open_ledger,
    reading_ledger,
    run_day,
    write_day_record,
)
from shedstation.domain.box import JobState
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import Setup
from shedstation.station.actions import OpenDay

EXPECTED = SAMPLE / "expected"


@pytest.fixture(scope="module")
def outcome(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("sample")
    run_day(SAMPLE, out, None, lambda _at_s: None)
    return out


@pytest.mark.parametrize("name", sorted(path.name for path in EXPECTED.iterdir()))
def test_that_the_sample_day_gives_what_is_published(outcome: Path, name: str) -> None:
    if name == "labels.txt":
        pages = text_of_pages((outcome / "labels.pdf").read_bytes())
        assert "\n\f\n".join(pages) + "\n" == (EXPECTED / name).read_text(encoding="utf-8")
    elif name == "record.txt":
        pages = text_of_pages((outcome / "record.pdf").read_bytes())
        assert "\n\f\n".join(pages) + "\n" == (EXPECTED / name).read_text(encoding="utf-8")
    else:
        assert (outcome / name).read_bytes() == (EXPECTED / name).read_bytes()


def test_that_the_sample_day_is_as_full_as_it_should_be(outcome: Path) -> None:
    day = json.loads((outcome / "day.json").read_text())
    boxes = day["boxes"]
    assert len(boxes) >= 60
    assert len(day["culls"]) >= 25
    assert len({box["cultivar"] for box in boxes}) == 3
    assert len({box["block"] for box in boxes}) == 4
    assert {box["tare_by"] for box in boxes} == {"station", "scale", "zero"}
    assert sum(box["voided"] for box in boxes) == 1
    assert len({box["pack"] for box in boxes}) == 2
    assert {each["code"] for each in day["refused"]} == {
        "not_steady", "outside_window", "already_dispatched",
    }  # fmt: skip


def test_that_twice_the_same_folder_gives_the_same_bytes(outcome: Path, tmp_path: Path) -> None:
    run_day(SAMPLE, tmp_path, None, lambda _at_s: None)
    for path in outcome.iterdir():
        if path.is_file():
            assert (tmp_path / path.name).read_bytes() == path.read_bytes(), path.name


def test_that_the_days_data_is_whole_and_nothing_waits(outcome: Path) -> None:
    assert check_data(outcome / "data").is_clear


def test_that_the_record_can_be_written_again_from_the_data(outcome: Path, tmp_path: Path) -> None:
    day = json.loads((outcome / "day.json").read_text())
    from datetime import date  # noqa: PLC0415  # only here

    write_day_record(outcome / "data", date.fromisoformat(day["date"]), tmp_path)
    for path in tmp_path.iterdir():
        assert path.read_bytes() == (outcome / path.name).read_bytes(), path.name


def test_that_every_printed_bar_code_reads_back_as_recorded(outcome: Path) -> None:
    with reading_ledger(outcome / "data") as ledger:
        jobs = ledger.label_jobs(JobState.SENT)
        dpi = ledger.setup().printer_dpi if ledger.setup() else 0  # type: ignore[union-attr]  # set up
    pages = codes_on_pages((outcome / "labels.pdf").read_bytes(), dpi)
    assert len(pages) == len(jobs) >= 60
    for job, codes in zip(jobs, pages, strict=True):
        expected = {("]C0", job.fields["serial_code"])}
        if job.fields["gs1_text"]:
            expected.add(("]C1", job.fields["gs1_text"]))
        assert codes == expected, job.job


def test_that_a_day_already_in_the_data_is_refused_and_nothing_changes(
    outcome: Path, tmp_path: Path
) -> None:
    before = check_data(outcome / "data")
    with pytest.raises(WorldFault, match="date_in_data"):
        run_day(SAMPLE, tmp_path, outcome / "data", lambda _at_s: None)
    assert check_data(outcome / "data") == before
    assert not list(tmp_path.iterdir())


def test_that_the_sample_day_is_what_its_maker_makes() -> None:
    shed = make_sample_day.make(20260618)
    rows = [json.dumps(action, ensure_ascii=False) for action in shed.actions]
    assert "\n".join(rows) + "\n" == (SAMPLE / "actions.jsonl").read_text(encoding="utf-8")


def test_that_a_day_still_open_in_the_data_is_not_packed_into(
    tmp_path: Path, sample_setup: Setup
) -> None:
    with open_ledger(tmp_path / "data") as ledger:
        Driver(ledger, sample_setup, Spool()).ask(OpenDay, date=date(2026, 6, 17))
        before = ledger.facts_count()
    with pytest.raises(WorldFault, match="day_open_in_data"):
        run_day(SAMPLE, tmp_path / "out", tmp_path / "data", lambda _at_s: None)
    with reading_ledger(tmp_path / "data") as ledger:
        assert ledger.facts_count() == before
