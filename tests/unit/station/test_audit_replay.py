"""A day's folder with an audit in it is carried out, and gives the same again every time."""

import csv
import io
import json
import shutil
from pathlib import Path

import pytest
from conftest import SAMPLE

from shedstation.bootstrap.headless import check_data, run_day

NETS = (2505, 2511, 2508, 2516)
TARE = 164
PERIOD_S = 0.2


class Day:
    """Writes a small day: frames of a scale five times a second, and actions between them."""

    def __init__(self) -> None:
        self.now_s = 0.0
        self.actions: list[dict[str, object]] = []
        self.frames: list[str] = []

    def shows(self, count: int) -> None:
        for state in ("US", "ST", "ST", "ST", "ST"):
            self.now_s += PERIOD_S
            frame = f"{state},GS,{'-' if count < 0 else '+'}{abs(count) / 100:>7.2f}lb\r\n"
            self.frames.append(f"{self.now_s:.3f}\t{frame.encode().hex().upper()}")

    def do(self, name: str, **fields: object) -> None:
        self.actions.append({"at_s": round(self.now_s, 3), "do": name, **fields})

    def pack(self, net: int) -> None:
        self.shows(0)
        self.shows(TARE)
        self.do("tare")
        self.shows(TARE + net)
        self.do("close_box")

    def weigh(self, number: int, net: int, **fields: object) -> None:
        self.shows(0)
        self.shows(TARE + net)
        self.do("reweigh", serial=f"#{number}", **fields)

    def write(self, folder: Path) -> Path:
        folder.mkdir()
        shutil.copy(SAMPLE / "station.toml", folder)
        rows = "".join(f"{json.dumps(each)}\n" for each in self.actions)
        (folder / "actions.jsonl").write_text(rows, encoding="utf-8")
        (folder / "scale.cap").write_text("\n".join(self.frames) + "\n", encoding="utf-8")
        return folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    day = Day()
    day.shows(0)
    day.do("open_day", date="2026-06-18")
    day.do("receive_load", load="L1", block="WR", cultivar="KENT", picked_on="2026-06-18")
    day.do("choose", load="L1", pack="Flat 25 lb", grade="1")
    for net in NETS:
        day.pack(net)
    day.shows(0)
    day.weigh(4, 2510, note="back from the chill room")
    day.do("start_audit", pack="Flat 25 lb", rule="handbook_133", by="noor")
    for number, net in enumerate(NETS, start=1):
        day.weigh(number, net - 6)
    day.shows(0)
    day.do("start_audit", pack="Flat 25 lb", rule="eu", lot="616901")
    day.weigh(2, 2480)
    day.do("end_audit", reason="the truck is here")
    day.shows(0)
    day.do("close_day")
    return day.write(tmp_path / "day")


def carried_out(folder: Path, out: Path) -> Path:
    run_day(folder, out, None, lambda _at_s: None)
    return out


def test_that_the_day_comes_out_as_it_was_written(folder: Path, tmp_path: Path) -> None:
    out = carried_out(folder, tmp_path / "out")
    day = json.loads((out / "day.json").read_text(encoding="utf-8"))
    assert day["refused"] == []
    assert len(day["boxes"]) == 4
    first, second = day["audits"]
    # by hand: errors -0.01, 0.05, 0.02, 0.10 lb; mean 0.04; s = sqrt(0.0066/3); factor 1.591 (Table 2-1)
    assert (first["verdict"], first["rule"], first["sample"]) == ("pass", "handbook_133", 4)
    assert (first["total_error"], first["average_error"]) == ("0.16", "0.0400")
    assert (first["spread"], first["factor"], first["error_limit"]) == ("0.0469", "1.591", "0.0746")
    assert sorted(box["error"] for box in first["boxes"]) == ["-0.01", "0.02", "0.05", "0.10"]
    assert (second["verdict"], second["why"]) == ("unfinished", "the truck is here")
    with (out / "audits.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(io.StringIO(file.read())))
    assert [row["What"] for row in rows if row["What"].startswith("audit")] == [
        "audit 1",
        "audit 2",
    ]
    assert check_data(out / "data").damage == ()


def test_that_the_same_folder_gives_the_same_draw(folder: Path, tmp_path: Path) -> None:
    one, other = (carried_out(folder, tmp_path / name) for name in ("one", "other"))
    for name in ("day.json", "audits.csv", "record.pdf", "record.xlsx"):
        assert (one / name).read_bytes() == (other / name).read_bytes()
