"""The sample day carried out with its fruit told: the record gains them and loses nothing."""

import csv
import json
import shutil
from collections import Counter
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from click.testing import CliRunner
from conftest import SAMPLE
from readback import text_of_pages

from shedstation.bootstrap.headless import check_data, reading_ledger, run_day, trace_code
from shedstation.cli import cli

EXPECTED: dict[str, Any] = json.loads((SAMPLE / "expected" / "day.json").read_text())


@pytest.fixture(scope="module")
def out(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("fruit")
    shutil.copytree(SAMPLE, folder / "day", ignore=shutil.ignore_patterns("expected", "pictures"))
    station = folder / "day" / "station.toml"
    text = station.read_text(encoding="utf-8")
    text = text.replace("[station]", "[station]\ntells_fruit = true")
    text = text.replace("[[pack]]", '[[pack]]\nsize_standard = "unece"')
    text = text.replace('template = "bench_4x2"', 'template = "bench_4x2_size"')
    station.write_text(text, encoding="utf-8")
    run_day(folder / "day", folder / "out", None, lambda _at_s: None)
    return folder / "out"


def day_of(out: Path) -> dict[str, Any]:
    day: dict[str, Any] = json.loads((out / "day.json").read_text())
    return day


def pounds(text: str) -> Decimal:
    number, unit = text.split()
    assert unit == "lb"
    return Decimal(number)


def table(out: Path, name: str) -> list[dict[str, str]]:
    with (out / f"{name}.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def test_that_the_day_is_the_same_but_for_the_fruit(out: Path) -> None:
    day = day_of(out)
    for box, without in zip(day["boxes"], EXPECTED["boxes"], strict=True):
        told = box.pop("fruit")
        typed = without["count"]  # wins over what the scale told
        assert box.pop("count") == (told["count"] if typed is None else typed)
        assert box == {key: each for key, each in without.items() if key != "count"}
    assert day["totals"] == EXPECTED["totals"]
    assert day["refused"] == EXPECTED["refused"]
    assert check_data(out / "data").is_clear


def test_that_weights_sum_to_each_boxs_net(out: Path) -> None:
    boxes = day_of(out)["boxes"]
    for box in boxes:
        told = box["fruit"]
        weights = [*told["weights"], *(each["weight"] for each in told["others"])]
        assert sum(map(pounds, weights)) == pounds(box["net"]), box["serial"]
        assert told["sure"] == (told["count"] is not None)
    sure = [box for box in boxes if box["fruit"]["sure"]]
    assert len(sure) >= 60
    for box in sure:
        weights = [pounds(each) for each in box["fruit"]["weights"]]
        assert len(weights) == box["fruit"]["count"]
        assert pounds(box["fruit"]["spread"]) == max(weights) - min(weights)


def test_that_the_tables_say_what_day_json_says(out: Path) -> None:
    boxes = {box["serial"]: box for box in day_of(out)["boxes"] if not box["voided"]}
    rows = table(out, "fruit")
    assert [row["Serial"] for row in rows] == list(boxes)
    for row in rows:
        told = boxes[row["Serial"]]["fruit"]
        assert row["Told by the scale"] == ("" if told["count"] is None else str(told["count"]))
        assert f"{row['Average']} lb" == told["mean"]
        assert row["Size standard"] == ("UNECE FFV-45")
        assert row["Size code"] == (told["size_code"] or "")
    weighed = Counter(row["Serial"] for row in table(out, "fruit_weights"))
    assert weighed == {
        serial: len(box["fruit"]["weights"]) + len(box["fruit"]["others"])
        for serial, box in boxes.items()
    }


def test_that_workbook_and_pages_have_the_fruit_too(out: Path) -> None:
    book = openpyxl.load_workbook(out / "record.xlsx", read_only=True)
    assert {"Fruit in the boxes", "Fruit by weight"} <= set(book.sheetnames)
    pages = "\n".join(text_of_pages((out / "record.pdf").read_bytes()))
    assert "Fruit in the boxes" in pages
    assert "0.79 1.089 lb" in pages.replace("\n", " ")


def test_that_labels_print_count_and_range_where_every_fruit_was_told(out: Path) -> None:
    pages = text_of_pages((out / "labels.pdf").read_bytes())
    box = day_of(out)["boxes"][0]
    assert box["fruit"]["sure"]
    page = next(page for page in pages if box["serial"] in page)
    assert f"Count {box['count']}" in page
    grams = [pounds(each) * Decimal("453.59237") for each in box["fruit"]["weights"]]
    # outwards to whole grams, so that it is true of every fruit
    assert f"{int(min(grams))}-{int(max(grams)) + 1} g" in page
    unsure = next(box for box in day_of(out)["boxes"] if not box["fruit"]["sure"])
    other = next(page for page in pages if unsure["serial"] in page)
    assert "Count" not in other


def test_that_a_trace_shows_what_was_told(out: Path) -> None:
    box: Any = trace_code(out / "data", "B1-000001")["box"]
    (first, *_) = day_of(out)["boxes"]
    weights = [each["weight"] for each in box["fruit"]["lying"]]
    assert weights == first["fruit"]["weights"]
    steps = box["fruit_steps"]
    assert sum(pounds(each["change"]) for each in steps) == pounds(box["net"])
    assert [each["at"] for each in steps] == sorted(each["at"] for each in steps)
    assert {each["kind"] for each in steps} == {"placed"}
    with reading_ledger(out / "data") as ledger:
        setup = ledger.setup()
    assert setup is not None
    assert setup.tells_fruit


def test_that_the_command_line_tells_fruit_without_changing_the_setup(tmp_path: Path) -> None:
    args = ["day", str(SAMPLE), "--out", str(tmp_path), "--fruit", "--json"]
    result = CliRunner().invoke(cli, args)
    assert result.exit_code == 0, result.output
    boxes = day_of(tmp_path)["boxes"]
    assert all(box["fruit"]["size_standard"] is None for box in boxes)
    with reading_ledger(tmp_path / "data") as ledger:
        setup = ledger.setup()
    assert setup is not None
    assert not setup.tells_fruit
