"""The record's files agree with each other, can be made again byte by byte, and cannot be run."""

import csv
import io
import json
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from driving import DAY, Driver
from hypothesis import given
from hypothesis import strategies as st
from readback import text_of_pages

from shedstation.domain.culls import Where
from shedstation.domain.day import DayRecord, sum_boxes
from shedstation.domain.errors import WorldFault
from shedstation.domain.mass import parse_mass
from shedstation.domain.price import parse_price
from shedstation.domain.reading import State
from shedstation.export.csv_files import csv_bytes, csv_cell
from shedstation.export.files import write_whole
from shedstation.export.page import page_bytes
from shedstation.export.record import write_record
from shedstation.export.tables import tables
from shedstation.export.workbook import workbook_bytes
from shedstation.station.actions import (
    CheckScale,
    CheckWash,
    CloseBox,
    Correct,
    EndScaleCheck,
    EnterCull,
    StartScaleCheck,
    TakeCheckPoint,
    TareBox,
    VoidBox,
)
from shedstation.words import Words

HOSTILE = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\uff1d1", " =1", "=cmd|' /C calc'!A0"]


@pytest.fixture
def record(bench: Driver) -> DayRecord:
    for fruit in ("26.70", "26.79", "26.88"):
        bench.shows("0.00")
        bench.shows("1.64")
        bench.ask(TareBox)
        bench.shows(fruit)
        bench.ask(CloseBox)
    bench.shows("0.00")
    bench.ask(VoidBox, serial="#2", reason="=HYPERLINK(0)")
    bench.ask(EnterCull, load="L1", defect="LATEX", where=Where.WASH, count=3)
    bench.ask(EnterCull, load="L1", defect="CUT", where=Where.BENCH, count=5)
    bench.ask(CheckWash, free_chlorine_ppm="120", ph="6.9", note="+tap")
    return bench.ledger.day_record(DAY)


def csv_rows(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))


def test_that_all_files_of_a_record_agree(record: DayRecord, tmp_path: Path, words: Words) -> None:
    write_record(record, tmp_path, words)
    day = json.loads((tmp_path / "day.json").read_text())
    nets = [box["net"] for box in day["boxes"]]
    book = openpyxl.load_workbook(tmp_path / "record.xlsx")
    head, *rows = list(book["Boxes"].values)
    column = head.index("Net")
    listed = csv_rows((tmp_path / "boxes.csv").read_bytes())
    assert [f"{row[column]:.2f} lb" for row in rows] == nets
    assert [f"{row['Net']} lb" for row in listed] == nets
    text = "\n".join(text_of_pages((tmp_path / "record.pdf").read_bytes()))
    everything = sum_boxes(record.standing)
    assert everything is not None
    assert day["totals"]["net"] == str(everything.net) == "50.30 lb"
    assert f"{everything.boxes} boxes, {everything.net} net" in text
    for box in day["boxes"]:
        assert box["serial"] in text
    assert day["totals"]["culls_by_defect"][0] == {
        "defect": "CUT", "entries": 1, "count": 5, "weight": None,
    }  # fmt: skip
    for head_ in record.heads.values():
        assert head_ in text


def test_that_checks_of_the_scale_are_judged_in_every_file(
    bench: Driver, tmp_path: Path, words: Words
) -> None:
    # source of the tolerances: NIST Handbook 44 section 2.20 Table 6: 0.03 lb at 25 lb by 0.01 lb
    for shown in ("25.03 lb", "25.04 lb"):
        bench.ask(CheckScale, applied=parse_mass("25 lb"), shown=parse_mass(shown), by="noor")
    bench.ask(StartScaleCheck, weights=(parse_mass("25 lb"),), certificate="=A1", by="noor")
    for shown in ("0.00 lb", "24.96 lb"):
        bench.hear("9.99 lb", State.MOVING)
        bench.hear(shown)
        bench.ask(TakeCheckPoint)
    bench.ask(EndScaleCheck, reason="rain")
    record = bench.ledger.day_record(DAY)
    write_record(record, tmp_path, words)
    rows = csv_rows((tmp_path / "scale_checks.csv").read_bytes())
    assert [(row["What"], row["Off by"], row["Allowed"], row["Result"]) for row in rows] == [
        ("one test weight", "0.03", "0.03", "passed"),
        ("one test weight", "0.04", "0.03", "failed"),
        ("check with test weights", "", "", "failed"),
        ("empty pan", "0.00", "0.005", "passed"),
        ("going up", "-0.04", "0.03", "failed"),
    ]
    assert {row["Person"] for row in rows} == {"Noor"}
    said = "25 lb in the middle: the scale showed 24.96 lb, off by -0.04 lb; 0.03 lb is allowed."
    assert said in rows[2]["Details"]
    assert rows[2]["Details"].endswith("Given up: rain.")
    book = openpyxl.load_workbook(tmp_path / "record.xlsx")
    assert [row[10] for row in book["Checks of the scale"].values][1:] == [
        r["Result"] for r in rows
    ]
    text = "".join(text_of_pages((tmp_path / "record.pdf").read_bytes())).replace("\n", " ")
    assert said in text
    assert "does not replace the inspection" in text
    happened = (tmp_path / "happenings.csv").read_text(encoding="utf-8-sig")
    assert "scale_tested" not in happened
    assert "points" not in happened


def test_that_a_day_without_checks_says_nothing_of_them(record: DayRecord, words: Words) -> None:
    text = "".join(text_of_pages(page_bytes(record, words)))
    assert "Checks of the scale" not in text
    assert "replace the inspection" not in text


def test_that_a_box_weighed_by_hand_says_so_in_the_table(
    bench: Driver, tmp_path: Path, words: Words
) -> None:
    bench.shows("0.00")
    bench.hear("1.64 lb", typed=True)
    bench.ask(TareBox)
    bench.shows("20.00")
    bench.ask(CloseBox, override_reason="last one")
    write_record(bench.ledger.day_record(DAY), tmp_path, words)
    (row,) = csv_rows((tmp_path / "boxes.csv").read_bytes())
    assert row["Status"] == "weight typed by hand, by the lead: last one"


def test_that_the_same_record_gives_the_same_bytes(record: DayRecord, words: Words) -> None:
    assert page_bytes(record, words) == page_bytes(record, words)
    assert workbook_bytes(record, words) == workbook_bytes(record, words)


@pytest.mark.parametrize("text", HOSTILE)
def test_that_text_cells_cannot_run_in_a_spreadsheet(
    record: DayRecord, words: Words, text: str
) -> None:
    # source: CWE-1236, OWASP ASVS 1.2.10
    box = replace(record.boxes[0], override_reason=text, pack=text)
    hostile = replace(record, boxes=(box,))
    listed = csv_rows(csv_bytes(tables(hostile, words)[1], words))[0]
    for cell in (listed["Pack"], listed["Override reason"]):
        assert cell.startswith("'") or not cell.strip().startswith(("=", "+", "-", "@"))
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(hostile, words)))
    kinds = {cell.data_type for row in book["Boxes"].iter_rows() for cell in row}
    assert "f" not in kinds


@given(st.text(max_size=40))
def test_that_no_text_at_all_begins_like_a_formula(text: str) -> None:
    cell = csv_cell(text)
    assert not cell.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
    assert not any(ord(letter) < 32 and letter not in "\t\n" for letter in cell)


def test_that_numbers_and_dates_are_numbers_and_dates(record: DayRecord, words: Words) -> None:
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(record, words)))
    head, first, *_ = list(book["Boxes"].values)
    row = dict(zip(head, first, strict=True))
    assert row["Net"] == 25.06
    assert row["Packed on"] == datetime(2026, 6, 18)  # noqa: DTZ001
    assert row["Serial"] == "B1-000001"
    assert row["Lot"] == "616901"


def test_that_negative_numbers_are_not_taken_for_formulas() -> None:
    assert csv_cell(Decimal("-1.64")) == "-1.64"
    assert csv_cell(date(2026, 6, 18)) == "2026-06-18"
    assert csv_cell(None) == ""


def test_that_a_record_speaks_spanish_too(record: DayRecord) -> None:
    text = "\n".join(text_of_pages(page_bytes(record, Words("es"))))
    assert "Descartes por defecto" in text
    assert "jue 18 de junio de 2026" in text


def test_that_an_empty_day_has_a_record_too(bench: Driver, tmp_path: Path, words: Words) -> None:
    empty = bench.ledger.day_record(DAY)
    paths = write_record(empty, tmp_path, words)
    assert all(path.stat().st_size for path in paths)
    assert json.loads((tmp_path / "day.json").read_text())["totals"]["net"] == "0 lb"


def test_that_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(WorldFault, match="cannot_write"):
        write_whole(tmp_path / "file" / "day.json", b"{}")


def test_that_a_correction_of_many_boxes_still_fits_the_page(bench: Driver, words: Words) -> None:
    for _ in range(120):
        bench.shows("0.00")
        bench.shows("1.64")
        bench.ask(TareBox)
        bench.shows("26.74")
        bench.ask(CloseBox)
    bench.receive("L2", "UT", "KEITT")
    assert bench.code(Correct, what="box", which=("B1-000001..B1-000120",), set={"load": "L2"},
                      reason="yesterday's load") is None  # fmt: skip
    record = bench.ledger.day_record(DAY)
    text = " ".join(text_of_pages(page_bytes(record, words)))
    assert text.count("B1-000120") >= 2


def test_that_what_was_given_away_is_a_table_where_packs_have_a_price(
    record: DayRecord, tmp_path: Path, words: Words
) -> None:
    write_record(record, tmp_path / "without", words)
    assert not (tmp_path / "without" / "giveaway.csv").exists()
    packs = record.setup.packs
    priced = replace(packs[0], price=parse_price("1.25 USD/lb"))
    setup = replace(record.setup, packs=(priced, *packs[1:]))
    day = replace(record, setup=setup)
    write_record(day, tmp_path / "with", words)
    # 25.06 and 25.24 lb stand, 25.15 lb is voided: 0.30 lb at 1.25 USD/lb are 0.375 USD, half up.
    (row,) = csv_rows((tmp_path / "with" / "giveaway.csv").read_bytes())
    assert row == {
        "Pack": "Flat 25 lb", "Boxes": "2", "Above labels": "0.30", "Unit": "lb",
        "Price": "1.25 USD/lb", "Worth": "0.38",
    }  # fmt: skip
    assert "Giveaway" in openpyxl.load_workbook(tmp_path / "with" / "record.xlsx").sheetnames
    assert not [page for page in text_of_pages(page_bytes(day, words)) if "USD" in page]
