"""Broken files, named and generated: each gets a clear error with file and line, never a traceback."""

import json
import random
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from conftest import IS_LONG, SAMPLE

from shedstation.cli import cli

STATION = (SAMPLE / "station.toml").read_text(encoding="utf-8")
ACTIONS = (SAMPLE / "actions.jsonl").read_text(encoding="utf-8").splitlines()
CAPTURE = (SAMPLE / "scale.cap").read_text(encoding="utf-8").splitlines()[:200]

WRONG_VALUES: list[Any] = [
    "", " ", "\\u0000", "a\\u001bb", "\\u202eevil", "=1+1\\u0007", "x" * 500, None, 17, 1.5, True, [], {},
]  # fmt: skip
WRONG_MASSES = [
    "25",
    "25 stone",
    "-1 lb",
    "1e9 lb",
    "99999999 kg",
    "25,0 lb",
    "NaN lb",
    "25.1234567 lb",
]


def action(**fields: Any) -> str:
    return json.dumps({"at_s": 3000, **fields})


GOOD: dict[str, dict[str, Any]] = {
    "cull": {"load": "L1", "defect": "CUT", "where": "bench", "count": 1},
    "void_box": {"serial": "last", "reason": "slip"},
    "choose": {"load": "L1", "pack": "Flat 25 lb", "grade": "1"},
    "receive_load": {
        "load": "L9",
        "block": "WR",
        "cultivar": "KENT",
        "picked_on": "2026-06-18",
    },
    "read_room": {"room": "CHILL", "temperature": "60 F"},
    "start_scale_check": {"weights": ["10 lb", "25 lb"]},
    "end_scale_check": {"reason": "rain"},
    "start_audit": {"pack": "Flat 25 lb", "rule": "handbook_133"},
    "reweigh": {"serial": "last"},
    "replace_box": {"serial": "last", "reason": "at the bottom"},
    "end_audit": {"reason": "rain"},
    "dispatch": {"buyer": "MKT", "serials": ["last"]},
    "correct": {"what": "cull", "which": "IN1", "set": {"count": 2}, "reason": "slip"},
}


def action_cases() -> Iterator[tuple[str, str]]:
    """Give a name and a bad line for the end of the actions file."""
    for do, fields in GOOD.items():
        for key in fields:
            rest = {name: value for name, value in fields.items() if name != key}
            yield f"{do} without {key}", action(do=do, **rest)
            for number, value in enumerate(WRONG_VALUES):
                if (key, value) in (("count", 17), ("grade", 17)):
                    continue
                if key == "which" and value == "=1+1\\u0007":
                    continue
                text = action(do=do, **{**fields, key: "@@"})
                raw = f'"{value}"' if isinstance(value, str) else json.dumps(value)
                yield f"{do} {key} wrong {number}", text.replace('"@@"', raw)
    audit = {"do": "start_audit", **GOOD["start_audit"]}
    for name, wrong in (("allowance", 10.5), ("allowance", -1), ("rule", "own"), ("lot", "")):
        yield f"audit with {name} {wrong}", action(**{**audit, name: wrong})
    yield "allowance of no size", action(**{**audit, "allowance": "@@"}).replace('"@@"', "1e-99999")
    wash = action(do="check_wash", free_chlorine_ppm=1, ph="@@")
    yield "pH of no size", wash.replace('"@@"', "1e-9999999")
    for mass in WRONG_MASSES:
        yield (
            f"weight {mass}",
            action(do="cull", load="L1", defect="CUT", where="bench", weight=mass),
        )
    yield "unknown action", action(do="dance")
    yield "no action", action()
    yield "unknown field", action(do="close_box", colour="red")
    yield "time falls", '{"at_s": 1, "do": "close_box"}'
    yield "time is text", '{"at_s": "3000", "do": "close_box"}'
    yield "time is NaN", '{"at_s": NaN, "do": "close_box"}'
    yield "time is endless", '{"at_s": 1e999, "do": "close_box"}'
    yield "time is negative", '{"at_s": -1, "do": "close_box"}'
    yield "key twice", '{"at_s": 3000, "do": "close_box", "do": "tare"}'
    yield "an array", "[1, 2]"
    yield "cut off", '{"at_s": 3000, "do": "clo'
    yield "not JSON", "close the box please"
    yield "deep", "[" * 20000
    yield "confirmed is text", action(do="take_check_point", confirmed="yes")
    yield "no amount", action(do="cull", load="L1", defect="CUT", where="bench")
    yield "both weights", action(do="receive_load", load="L9", block="WR", cultivar="KENT",
                                 picked_on="2026-06-18", weight="1 lb",
                                 tubs=[{"gross": "2 lb", "tare": "1 lb"}])  # fmt: skip
    yield "tub without tare", action(do="receive_load", load="L9", block="WR", cultivar="KENT",
                                     picked_on="2026-06-18", tubs=[{"gross": "2 lb"}])  # fmt: skip
    yield "day 31 June", action(do="open_day", date="2026-06-31")
    yield "serial form", action(do="reprint", serial="B1_1")
    yield (
        "box set block",
        action(do="correct", what="box", which="last", set={"block": "WR"}, reason="x"),
    )


def station_cases() -> Iterator[tuple[str, str]]:
    """Give a name and a bad station file."""
    for number, line in enumerate(STATION.splitlines()):
        if found := re.match(r'(\w+) = "', line):
            key = found.group(1)
            yield f"line {number + 1} {key} a number", replaced(number, f"{key} = 17.5")
            yield f"line {number + 1} {key} control", replaced(number, f'{key} = "a\\u0007"')
            yield f"line {number + 1} {key} unclosed", replaced(number, f'{key} = "')
    yield "unknown key", STATION + '\ncolour = "red"\n'
    yield "unknown table", STATION + '\n[[robot]]\nname = "R2"\n'
    yield "side of no width", STATION.replace("[16, 5]", "[1e-9999999, 5]")
    yield "empty", ""
    yield "no packs", re.sub(r"(?s)\[\[pack\]\].*?(?=\n# |\n\[\[cult)", "", STATION)
    yield "table as list", STATION.replace("[farm]", "[[farm]]", 1)
    yield "not TOML", "this is not a station file"


def replaced(number: int, line: str) -> str:
    lines = STATION.splitlines()
    lines[number] = line
    return "\n".join(lines) + "\n"


def capture_cases() -> Iterator[tuple[str, str]]:
    """Give a name and a bad capture."""
    for number, line in enumerate(
        ["0 41", "0\t4", "0\tzz", "\t41", "0\t", "0\t41 42", "-1\t41", "1e3\t41", "0\t!LOST", "0,5\t41",
         "0.1234567\t41", "NaN\t41", "0\t41\t42", "inf\t41", "0x1\t41"]
    ):  # fmt: skip
        lines = [*CAPTURE[:50], line, *CAPTURE[50:]]
        yield f"bad line {number}", "\n".join(lines) + "\n"
    yield "time falls", "\n".join([*CAPTURE, "0\t41"]) + "\n"


def generated_cases() -> Iterator[tuple[str, str, bytes]]:
    """Give files with random bytes changed, removed or doubled; most are broken, none may crash."""
    seed = random.randrange(10**9) if IS_LONG else 5
    dice = random.Random(seed)
    sources = {
        "station.toml": STATION.encode(),
        "actions.jsonl": "\n".join(ACTIONS).encode(),
        "scale.cap": "\n".join(CAPTURE).encode(),
    }
    for number in range(600 if IS_LONG else 60):
        name = dice.choice(list(sources))
        data = bytearray(sources[name])
        for _ in range(dice.randint(1, 6)):
            place = dice.randrange(len(data))
            match dice.randrange(3):
                case 0:
                    data[place] = dice.randrange(256)
                case 1:
                    del data[place : place + dice.randint(1, 40)]
                case _:
                    data[place:place] = bytes(dice.randrange(256) for _ in range(3))
        yield f"seed {seed} number {number}", name, bytes(data)


CASES: list[tuple[str, str, bytes]] = [
    *(
        (name, "actions.jsonl", ("\n".join([*ACTIONS, line]) + "\n").encode())
        for name, line in action_cases()
    ),
    *((name, "station.toml", text.encode()) for name, text in station_cases()),
    *((name, "scale.cap", text.encode()) for name, text in capture_cases()),
    ("latin-1 names", "station.toml", STATION.replace("Old Grove", "Año").encode("latin-1")),
    ("UTF-16", "actions.jsonl", "\n".join(ACTIONS).encode("utf-16")),
    ("a picture", "scale.cap", b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 20),
]  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("bad") / "day"
    shutil.copytree(SAMPLE, made, ignore=shutil.ignore_patterns("expected", "pictures"))
    (made / "scale.cap").write_text("\n".join(CAPTURE) + "\n", encoding="utf-8")
    return made


def run_with(folder: Path, name: str, data: bytes) -> tuple[int, str]:
    original = (folder / name).read_bytes()
    (folder / name).write_bytes(data)
    out = folder.parent / "out"
    try:
        result = CliRunner().invoke(cli, ["day", str(folder), "--out", str(out)])
    finally:
        (folder / name).write_bytes(original)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert result.exit_code in (0, 1)
    if result.exit_code == 1:
        assert not out.exists(), "something was carried out"
    else:
        shutil.rmtree(out)
    return result.exit_code, result.output + result.stderr


def test_that_there_are_at_least_two_hundred_cases() -> None:
    assert len(CASES) + len(list(generated_cases())) >= 200


@pytest.mark.parametrize(
    ("case", "name", "data"), CASES, ids=[f"{n} {c[0]}" for n, c in enumerate(CASES)]
)
def test_that_bad_input_gets_a_clear_error_with_file_and_line(
    folder: Path, case: str, name: str, data: bytes
) -> None:
    code, said = run_with(folder, name, data)
    assert code == 1, case
    assert name in said
    whole_file = ("UTF-8" in said) or ("is missing" in said and ":1:" in said)
    assert whole_file or re.search(rf"{re.escape(name)}(:\d+:|, line \d+:)", said), said
    assert "Traceback" not in said


def test_that_generated_damage_never_crashes_and_never_half_works(folder: Path) -> None:
    for case, name, data in generated_cases():
        code, said = run_with(folder, name, data)
        assert code == 0 or said.strip(), case
