import json
import shutil
from pathlib import Path

import pytest
from conftest import SAMPLE

from shedstation.bootstrap.headless import run_day
from shedstation.dayfolder.findings import BadFile
from shedstation.dayfolder.folder import read_day
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Unit
from shedstation.domain.payload import from_payload, to_payload
from shedstation.domain.scale_tolerance import Standard
from shedstation.domain.size_codes import SizeStandard
from shedstation.station.actions import Correct, ReceiveLoad
from shedstation.words import Words


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(SAMPLE, tmp_path / "day", ignore=shutil.ignore_patterns("expected", "pictures"))
    return tmp_path / "day"


def change(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_that_the_sample_day_is_read(folder: Path) -> None:
    day = read_day(folder)
    assert day.setup.benches[0].unit is Unit.LB
    assert str(day.dates[0]) == "2026-06-18"
    loads = [action for action in day.actions if isinstance(action, ReceiveLoad)]
    assert len(loads[2].tubs) == 6
    correction = next(action for action in day.actions if isinstance(action, Correct))
    assert correction.which[0].count("..") == 1


def test_that_keys_beginning_with_x_are_ignored(folder: Path) -> None:
    change(
        folder, "station.toml", "[station]", '[x_mine]\nanything = 1\n[station]\nx_colour = "red"'
    )
    assert read_day(folder).setup.language == "en"


def test_that_the_scales_standard_and_check_days_may_be_said(folder: Path) -> None:
    usual = read_day(folder).setup
    assert (usual.scale_standard, usual.scale_check_days) == (Standard.US, 30)
    said = 'language = "en"\nscale_standard = "oiml"\nscale_check_days = 0'
    change(folder, "station.toml", 'language = "en"', said)
    setup = read_day(folder).setup
    assert (setup.scale_standard, setup.scale_check_days) == (Standard.OIML, 0)


def test_that_a_pack_may_name_a_size_standard_and_claim_a_code(folder: Path) -> None:
    assert read_day(folder).setup.packs[0].size_standard is None
    said = '[[pack]]\nsize_standard = "codex"\nsize_code = "B"'
    change(folder, "station.toml", "[[pack]]", said)
    pack = read_day(folder).setup.packs[0]
    assert (pack.size_standard, pack.size_code) == (SizeStandard.CODEX, "B")


@pytest.mark.parametrize(
    ("said", "complaint"),
    [
        ('size_code = "B"', "claims size B but names no size_standard"),
        ('size_standard = "codex"\nsize_code = "D"', "claims size D, which codex does not have"),
        ('size_standard = "mine"', "size_standard is 'mine'. Expected one of: agmark, codex"),
    ],
)
def test_that_a_size_that_no_standard_has_is_found(folder: Path, said: str, complaint: str) -> None:
    change(folder, "station.toml", "[[pack]]", f"[[pack]]\n{said}")
    with pytest.raises(BadFile) as found:
        read_day(folder)
    assert complaint in "\n".join(Words("en").say(each.message) for each in found.value.findings)


def test_that_a_bench_may_have_three_to_six_cups(folder: Path) -> None:
    assert read_day(folder).setup.benches[0].cups == 0
    change(folder, "station.toml", "[[bench]]", "[[bench]]\ncups = 4")
    assert read_day(folder).setup.benches[0].cups == 4


@pytest.mark.parametrize("cups", ["2", "7", "-3", "true", "4.0", '"4"'])
def test_that_another_number_of_cups_is_found(folder: Path, cups: str) -> None:
    change(folder, "station.toml", "[[bench]]", f"[[bench]]\ncups = {cups}")
    with pytest.raises(BadFile) as found:
        read_day(folder)
    said = "\n".join(Words("en").say(each.message) for each in found.value.findings)
    assert "cups is" in said
    assert "Expected one of: 0, 3, 4, 5, 6" in said


def test_that_words_about_cups_are_read(folder: Path) -> None:
    asked = [
        {"at_s": 1.0, "do": "tell_cup", "cup": 0},
        {"at_s": 2.0, "do": "tell_cup", "cup": 3},
        {"at_s": 3.0, "do": "empty_cups"},
        {"at_s": 4.0, "do": "empty_cups", "cups": [2, 4]},
    ]
    lines = [json.dumps({"bench": "B1", **each}) for each in asked]
    (folder / "actions.jsonl").write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert [(getattr(each, "cup", None), getattr(each, "cups", None))
            for each in read_day(folder).actions] == [
        (0, None), (3, None), (None, ()), (None, (2, 4)),
    ]  # fmt: skip


def test_that_price_share_and_the_way_to_the_buyer_may_be_said(folder: Path) -> None:
    said = (
        'language = "en"\ndays_to_buyer = 7\nroom_temperature = "60 F"\nhumidity = "85 %"\n'
        "giveaway_by_packer = true"
    )
    change(folder, "station.toml", 'language = "en"', said)
    priced = 'over = "0.30 lb"\nprice = "1.20 USD/lb"\nshare_below = "2.5 %"'
    change(folder, "station.toml", 'over = "0.30 lb"', priced)
    setup = read_day(folder).setup
    assert (setup.days_to_buyer, setup.room_temperature, setup.humidity) == (7, "60 F", "85 %")
    assert setup.giveaway_by_packer
    pack = setup.packs[0]
    assert (str(pack.price), pack.share_below) == ("1.20 USD/lb", "2.5 %")
    assert from_payload(Setup, to_payload(setup)) == setup


def test_that_prices_in_two_currencies_are_found_where_the_second_stands(folder: Path) -> None:
    for over, price in (("0.30", "1.20 USD"), ("0.80", "1.10 EUR")):
        text = f'over = "{over} lb"'
        change(folder, "station.toml", text, f'{text}\nprice = "{price}/lb"')
    with pytest.raises(BadFile) as raised:
        read_day(folder)
    (finding,) = raised.value.findings
    lines = (folder / "station.toml").read_text(encoding="utf-8").splitlines()
    assert "EUR" in lines[finding.line - 1]
    assert "EUR" in Words("en").say(finding.message)


def test_that_a_check_of_the_scale_can_be_carried_out_from_a_folder(
    folder: Path, tmp_path: Path
) -> None:
    rows = [
        {"at_s": 0, "do": "open_day", "date": "2026-06-18"},
        {"at_s": 1, "do": "start_scale_check", "weights": ["25 lb"], "certificate": "A1"},
        *({"at_s": 10 * (n + 1), "do": "take_check_point"} for n in range(15)),
        {"at_s": 500, "do": "close_day"},
    ]
    (folder / "actions.jsonl").write_text("\n".join(map(json.dumps, rows)) + "\n")
    loads = [0, 25, 0, *[25] * 5, 0, 25, 0, 25, 0, 25, 0]
    chunks = []
    for number, pounds in enumerate(loads):
        for tenth in range(20):
            mark = "US" if tenth < 5 else "ST"
            frame = f"{mark},GS,+{pounds + (0.11 if tenth < 5 else 0):7.2f}lb\r\n"
            at_s = 10 * (number + 1) - 1.9 + tenth / 10
            chunks.append(f"{at_s:.3f}\t{frame.encode().hex()}")
    (folder / "scale.cap").write_text("\n".join(chunks) + "\n")
    run_day(folder, tmp_path / "out", None, lambda _at_s: None)
    table = (tmp_path / "out" / "scale_checks.csv").read_text(encoding="utf-8-sig")
    assert json.loads((tmp_path / "out" / "day.json").read_text())["refused"] == []
    assert "check with test weights" in table
    assert table.count(",passed,") == 1 + 15 + 2
    assert "NIST Handbook 44, in service, division 0.01 lb. Test weights: A1." in table


def test_that_all_findings_are_told_at_once_with_their_lines(folder: Path) -> None:
    change(folder, "station.toml", 'unit = "lb"', 'unit = "stone"')
    change(folder, "station.toml", 'target = "25.00 lb"', 'target = "25 pounds"')
    change(folder, "station.toml", 'time_zone = "America/Puerto_Rico"', 'time_zone = "Nowhere"')
    with pytest.raises(BadFile) as raised:
        read_day(folder)
    lines = (folder / "station.toml").read_text().splitlines()
    told = {lines[finding.line - 1].split(" =")[0] for finding in raised.value.findings}
    assert told == {"unit", "target", "time_zone"}


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ('under = "0.00 lb"', 'under = "0.10 lb"', "below its label's weight"),
        ('box = "flat"', 'box = "crate"', "an unknown box"),
        ('division = "0.01 lb"', 'division = "0.03 lb"', "no division"),
        ('division = "0.01 lb"', 'division = "0.005 kg"', "another unit"),
        ('template = "bench_4x2"', 'template = "huge"', "no such template"),
        ('code = "KEITT"', 'code = "KENT"', "a code twice"),
        ('gtin = "19521234000010"', 'gtin = "19521234000011"', "a wrong check digit"),
        ('over = "0.30 lb"', 'over = "0.30 lb"\nlabel_net = "30 lb"', "a key twice"),
        ('over = "0.30 lb"', 'over = "0.01 lb"', "a window under two divisions"),
        ('language = "en"', 'scale_standard = "metric"', "an unknown standard"),
        ('language = "en"', "scale_check_days = 400", "too many days"),
        ('language = "en"', "scale_check_days = true", "no number of days"),
        ('language = "en"', "days_to_buyer = 61", "too many days on the way"),
        ('language = "en"', 'room_temperature = "60"', "no temperature"),
        ('language = "en"', 'room_temperature = "20 F"', "too cold for fruit"),
        ('language = "en"', 'humidity = "101 %"', "more than all"),
        ('language = "en"', 'giveaway_by_packer = "yes"', "no flag"),
        ('over = "0.30 lb"', 'over = "0.30 lb"\nprice = "1.20 lb"', "no price"),
        ('over = "0.30 lb"', 'over = "0.30 lb"\nprice = "0.00 USD/lb"', "a price of nothing"),
        ('over = "0.30 lb"', 'over = "0.30 lb"\nshare_below = "51 %"', "more than a half"),
        ('over = "0.30 lb"', 'over = "0.30 lb"\nshare_below = "0 %"', "none may be light"),
    ],
)
def test_that_what_does_not_fit_together_is_found(
    folder: Path, old: str, new: str, key: str
) -> None:
    change(folder, "station.toml", old, new)
    with pytest.raises(BadFile) as raised:
        read_day(folder)
    assert raised.value.findings, key
    for finding in raised.value.findings:
        assert Words("en").say(finding.message)
        assert finding.line > 1


def test_that_a_missing_capture_is_named(folder: Path) -> None:
    (folder / "scale.cap").unlink()
    with pytest.raises(WorldFault, match=r"B1\.cap"):
        read_day(folder)


def test_that_a_broken_capture_is_found_before_anything_is_carried_out(
    folder: Path, tmp_path: Path
) -> None:
    with (folder / "scale.cap").open("a", encoding="utf-8") as file:
        file.write("9999999\tGG\n")
    with pytest.raises(WorldFault, match="capture_line"):
        run_day(folder, tmp_path / "out", None, lambda _at_s: None)
    assert not (tmp_path / "out").exists()


def test_that_two_benches_have_a_capture_each_and_name_themselves(
    folder: Path, tmp_path: Path
) -> None:
    text = (folder / "station.toml").read_text(encoding="utf-8")
    second = """
[[bench]]
name = "B2"
scale = "status-comma"
unit = "lb"
division = "0.01 lb"
capacity = "60.00 lb"
"""
    (folder / "station.toml").write_text(text + second, encoding="utf-8")
    shutil.copy(folder / "scale.cap", folder / "B2.cap")
    (folder / "scale.cap").rename(folder / "B1.cap")
    with pytest.raises(BadFile):
        read_day(folder)
    change(folder, "actions.jsonl", '"do":', '"bench": "B2", "do":')
    change(folder, "actions.jsonl", '"B1-0000', '"B2-0000')
    change(folder, "actions.jsonl", "..B1-", "..B2-")
    done = run_day(folder, tmp_path / "out", None, lambda _at_s: None)
    assert done["boxes"] == 65
