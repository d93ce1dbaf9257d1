"""Audits on the day's record: a table, a sheet and pages of their own, only on a day that has one."""

import csv
import io
import json
from pathlib import Path

import openpyxl
import pytest
from driving import DAY, Driver
from readback import text_of_pages
from reweighing_hands import carry_through, going, pack, start, weigh

from shedstation.domain.audit import AuditRule
from shedstation.export.record import write_record
from shedstation.station.actions import EndAudit, ReplaceBox
from shedstation.words import Words


def written(bench: Driver, out: Path, language: str = "en") -> Path:
    write_record(bench.ledger.day_record(DAY), out, Words(language))
    return out


def lines(out: Path) -> list[dict[str, str]]:
    text = (out / "audits.csv").read_text(encoding="utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def test_that_a_day_without_an_audit_says_nothing_of_any(bench: Driver, tmp_path: Path) -> None:
    pack(bench, "25.05")
    weigh(bench, "B1-000001", "25.00")
    out = written(bench, tmp_path)
    assert not (out / "audits.csv").exists()
    assert "audits" not in json.loads((out / "day.json").read_text())
    happenings = (out / "happenings.csv").read_text(encoding="utf-8-sig")
    assert "box weighed again" in happenings
    assert "net 25.00 lb; net then 25.05 lb" in happenings


def test_that_an_audit_is_in_the_table_with_every_figure(bench: Driver, tmp_path: Path) -> None:
    pack(bench, *["25.05"] * 13)
    start(bench, by="noor")
    gone = going(bench).left[0]
    bench.ask(ReplaceBox, serial=gone, reason="at the bottom")
    carry_through(bench)
    rows = lines(written(bench, tmp_path))
    whole, *others = rows
    assert (whole["What"], whole["Result"], whole["Person"]) == ("audit 1", "passes", "Noor")
    assert "NIST Handbook 133, Category A" in whole["Details"]
    assert f"{gone} was replaced by" in whole["Details"]
    assert "at the bottom" in whole["Details"]
    assert "officials decide by their own tests" in whole["Details"]
    found = {row["What"]: (row["Found"], row["Limit"], row["In"]) for row in others}
    assert found["Boxes in the lot"] == ("13", "", "")
    assert found["Average error of 12 boxes"] == ("0.0200", "0.0000", "lb")
    assert found["Sample correction factor"] == ("0.635", "", "")
    boxes = [row for row in others if row["Serial"]]
    assert len(boxes) == 12
    assert all(row["Net now"] == "25.02" and row["Found"] == "0.02" for row in boxes)


@pytest.mark.parametrize(
    ("language", "said"),
    [
        ("en", "This is the packer's own control; officials decide by their own tests."),
        ("es", "Este es el control propio del empacador; las autoridades deciden con sus propias"),
    ],
)
def test_that_the_pages_say_whose_control_it_is(
    bench: Driver, tmp_path: Path, language: str, said: str
) -> None:
    pack(bench, *["25.05"] * 3)
    start(bench, rule=AuditRule.R87)
    carry_through(bench)
    out = written(bench, tmp_path, language)
    text = " ".join("\n".join(text_of_pages((out / "record.pdf").read_bytes())).split())
    assert said in text
    assert "OIML R 87" in text


def test_that_the_workbook_and_the_result_hold_the_audit(bench: Driver, tmp_path: Path) -> None:
    pack(bench, *["25.05"] * 3)
    start(bench)
    serial = going(bench).left[0]
    weigh(bench, serial, "24.60")
    bench.ask(EndAudit, reason="seen enough")
    out = written(bench, tmp_path)
    (audit,) = json.loads((out / "day.json").read_text())["audits"]
    assert (audit["verdict"], audit["why"], audit["over"]) == ("fail", "seen enough", 1)
    assert audit["boxes"][0] == {
        "serial": serial, "gross": "26.24 lb", "tare": "1.64 lb", "net_then": "25.05 lb",
        "net": "24.60 lb", "days": "0.0", "error": "-0.40",
    }  # fmt: skip
    sheet = openpyxl.load_workbook(out / "record.xlsx")["Audits"]
    titles = [cell.value for cell in sheet[1]]
    whole = [cell.value for cell in sheet[2]]
    assert whole[titles.index("Result")] == "fails"
    assert "given up after 1 of 3 boxes" in str(whole[titles.index("Details")])
    happenings = (out / "happenings.csv").read_text(encoding="utf-8-sig")
    assert "audit" not in happenings
