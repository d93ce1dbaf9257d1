"""The fruit of one box, told from a capture that begins with an empty pan."""

import json
from collections.abc import Iterable
from decimal import Decimal
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st

from shedstation.cli import cli
from shedstation.domain.mass import Mass, Unit, add_up, parse_mass
from shedstation.domain.reading import Mode, Reading, State
from shedstation.station.one_box import follow_one_box, shown_division

TARE = 164
LOADS = (102, 95, 110, 98, 121, 88)
D = parse_mass("0.01 lb")


def frame(count: int, *, steady: bool = True, mode: str = "GS") -> bytes:
    return f"{'ST' if steady else 'US'},{mode},{count / 100:+9.2f}lb\r\n".encode()


def weights(*levels: int, readings: int = 20) -> list[tuple[int, bool]]:
    """Give a weight resting at each level in turn, with two readings on the way."""
    shown = [(levels[0], True)] * readings
    for before, after in pairwise(levels):
        shown += [(before + (after - before) // 3, False), (before + (after - before) // 2, False)]
        shown += [(after, True)] * readings
    return shown


def filled(*fruit: int, tare: int = TARE) -> list[int]:
    levels = [0, tare]
    for each in fruit:
        levels.append(levels[-1] + each)
    return levels


def capture(folder: Path, shown: Iterable[tuple[int, bool]], *, mode: str = "GS") -> Path:
    lines = [
        f"{number / 10:.3f}\t{frame(count, steady=steady, mode=mode).hex()}"
        for number, (count, steady) in enumerate(shown)
    ]
    path = folder / "box.cap"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def run(*args: object) -> Result:
    return CliRunner().invoke(cli, ["fruit", *map(str, args)])


def told(*args: object) -> dict[str, Any]:
    result = run(*args, "--json")
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(result.output)
    return found


def total(steps: list[dict[str, Any]]) -> Decimal:
    return sum((Decimal(each["change"].split()[0]) for each in steps), Decimal(0))


def test_that_a_box_is_told_from_the_empty_pan_on(tmp_path: Path) -> None:
    box = told(capture(tmp_path, weights(*filled(*LOADS))))
    assert (box["language"], box["division"]) == ("status-comma", "0.01 lb")
    assert (box["tare"], box["net"]) == ("1.64 lb", "6.14 lb")
    assert [each["change"] for each in box["steps"]] == [
        "1.02 lb", "0.95 lb", "1.10 lb", "0.98 lb", "1.21 lb", "0.88 lb",
    ]  # fmt: skip
    assert [(each["fruit"], each["sure"], each["kind"]) for each in box["steps"]] == [
        (1, True, "placed")
    ] * 6
    times = [each["at_s"] for each in box["steps"]]
    assert times == sorted(times)
    assert total(box["steps"]) == Decimal("6.14")


def test_that_size_goes_by_the_standard_that_is_asked_for(tmp_path: Path) -> None:
    # 399 to 549 g: B by Codex STAN 184 and UNECE FFV-45, C by AGMARK (all from memory, see
    # tests/published/test_size_codes.py); they differ by 150 g, and Codex B allows 100.
    path = capture(tmp_path, weights(*filled(*LOADS)))
    codex = told(path)
    assert (codex["size_standard"], codex["size_code"], codex["spread"]) == (
        "codex",
        "B",
        "0.33 lb",
    )
    assert (codex["keeps_size"], codex["keeps_spread"]) == (True, False)
    agmark = told(path, "--standard", "agmark")
    assert (agmark["size_code"], agmark["keeps_spread"]) == ("C", True)


def test_that_a_fruit_taken_out_and_two_at_once_are_said(tmp_path: Path) -> None:
    levels = [*filled(*LOADS), TARE + 614 - 88, TARE + 614 - 88 + 210]
    box = told(capture(tmp_path, weights(*levels)))
    out, two = box["steps"][-2:]
    assert (out["change"], out["kind"]) == ("-0.88 lb", "taken")
    assert (two["change"], two["fruit"], two["sure"]) == ("2.10 lb", None, False)
    assert (box["sure"], box["count"]) == (False, None)
    assert box["others"] == [{"weight": "2.10 lb", "fruit": None}]
    assert total(box["steps"]) == Decimal(box["net"].split()[0])


@pytest.mark.parametrize("marks", [[], ["!lost", "!back"]])
def test_that_what_nobody_saw_is_an_unseen_step(tmp_path: Path, marks: list[str]) -> None:
    path = capture(tmp_path, weights(*filled(*LOADS)))
    lines = path.read_text(encoding="utf-8").splitlines()
    last_s = float(lines[-1].split("\t")[0])
    lost = [f"{last_s + 1 + number}\t{mark}" for number, mark in enumerate(marks)]
    later = [
        f"{last_s + 20 + number / 10:.3f}\t{frame(TARE + 614 + 205).hex()}" for number in range(12)
    ]
    path.write_text("\n".join([*lines, *lost, *later]) + "\n", encoding="utf-8")
    box = told(path)
    last = box["steps"][-1]
    assert (last["change"], last["kind"], last["fruit"], last["sure"]) == (
        "2.05 lb", "unseen", None, False,
    )  # fmt: skip
    assert total(box["steps"]) == Decimal("8.19")


def test_that_the_box_ends_when_it_is_lifted_off(tmp_path: Path) -> None:
    path = capture(tmp_path, weights(*filled(*LOADS), 0, TARE, TARE + 300))
    box = told(path)
    assert (box["tare"], box["net"], len(box["steps"])) == ("1.64 lb", "6.14 lb", 6)


def test_that_the_scales_own_tare_key_is_followed(tmp_path: Path) -> None:
    before = weights(0, TARE, readings=4)
    lines = [frame(count, steady=steady) for count, steady in before]
    levels = [each - TARE for each in filled(*LOADS)[1:]]
    lines += [frame(count, steady=steady, mode="NT") for count, steady in weights(*levels)]
    text = "\n".join(f"{number / 10:.3f}\t{each.hex()}" for number, each in enumerate(lines))
    (tmp_path / "box.cap").write_text(text + "\n", encoding="utf-8")
    box = told(tmp_path / "box.cap")
    assert (box["tare"], box["net"], box["count"]) == ("1.64 lb", "6.14 lb", 6)


def test_that_an_empty_box_alone_has_no_steps(tmp_path: Path) -> None:
    box = told(capture(tmp_path, weights(0, TARE)))
    assert (box["net"], box["steps"], box["count"]) == ("0.00 lb", [], 0)


def test_that_it_can_be_read_without_json(tmp_path: Path) -> None:
    levels = [*filled(*LOADS), TARE + 614 + 210]
    text = run(capture(tmp_path, weights(*levels))).output
    assert "1.02 lb  placed   1 fruit" in text
    assert "2.10 lb  placed   not sure" in text
    assert "Empty box 1.64 lb, fruit 8.24 lb." in text
    assert "6 fruit told singly: from 0.88 lb to 1.21 lb, spread 0.33 lb, average 1.023 lb." in text
    assert "Not told singly: 2.10 lb." in text
    sized = run(capture(tmp_path, weights(*filled(*LOADS))), "--standard", "agmark").output
    assert "Size C by AGMARK: the box keeps the size and the spread." in sized


@pytest.mark.parametrize(
    ("shown", "complaint"),
    [
        (weights(TARE, TARE + 102), "begins with 1.64 lb on the pan (second 0.0)"),
        (weights(0, readings=30), "No empty box came to rest"),
        (weights(0, TARE, 0, readings=2), "No empty box came to rest"),
    ],
    ids=["no empty pan", "no box", "box too short"],
)
def test_that_a_bad_capture_is_refused_in_a_sentence(
    tmp_path: Path, shown: list[tuple[int, bool]], complaint: str
) -> None:
    result = run(capture(tmp_path, shown), "--json")
    assert result.exit_code == 1
    assert complaint in result.output


def test_that_a_key_pressed_with_fruit_in_the_box_is_refused(tmp_path: Path) -> None:
    path = capture(tmp_path, weights(*filled(*LOADS)))
    last_s = float(path.read_text(encoding="utf-8").splitlines()[-1].split("\t")[0])
    with path.open("a", encoding="utf-8") as file:
        for number in range(1, 6):
            file.write(f"{last_s + number / 10:.3f}\t{frame(0, mode='NT').hex()}\n")
    result = run(path)
    assert result.exit_code == 1
    assert "which does not follow from what it showed: was a key pressed" in result.output


def test_that_what_is_no_capture_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "box.cap"
    path.write_text("0.1\tnothing\n", encoding="utf-8")
    result = run(path)
    assert (result.exit_code, "line 1" in result.output or ":1" in result.output) == (1, True)
    path.write_text(f"0.1\t{b'hello there'.hex()}\n" * 20, encoding="utf-8")
    assert run(path, "--language", "status-comma").exit_code == 1
    assert run(path).exit_code == 1
    assert run(path, "--language", "mine").exit_code == 1
    assert run(path, "--division", "-1 lb").exit_code == 2
    assert run(path, "--division", "one").exit_code == 2


def readings(counts: Iterable[int], decimals: int = 2) -> list[Reading]:
    return [
        Reading(number / 10, Mass(count, decimals, Unit.LB), State.STEADY, Mode.GROSS)
        for number, count in enumerate(counts)
    ]


@pytest.mark.parametrize(
    ("counts", "division"),
    [
        (range(0, 100, 1), "0.01 lb"),
        (range(0, 100, 2), "0.02 lb"),
        (range(0, 200, 5), "0.05 lb"),
        (range(0, 200, 10), "0.10 lb"),
        (range(0, 400, 20), "0.20 lb"),
        (range(0, 400, 15), "0.05 lb"),  # a step of 15 is nobody's: 5 is the largest usual one
        (range(0, 45, 5), "0.01 lb"),  # nine weights are too few to say
        ([0] * 50, "0.01 lb"),
    ],
)
def test_that_the_division_is_what_all_weights_are_whole_numbers_of(
    counts: Iterable[int], division: str
) -> None:
    assert str(shown_division(readings(counts))) == division


@given(st.lists(st.integers(20, 400), max_size=15), st.integers(3, 8))
def test_that_steps_sum_to_the_net_whatever_goes_in(fruit: list[int], rest: int) -> None:
    shown = [*weights(0, TARE, readings=8), *weights(*filled(*fruit)[1:], readings=rest)]
    events = [
        Reading(
            number / 10,
            Mass(count, 2, Unit.LB),
            State.STEADY if steady else State.MOVING,
            Mode.GROSS,
        )
        for number, (count, steady) in enumerate(shown)
    ]
    box = follow_one_box(events, D)
    assert (box.tare.count, box.net.count) == (TARE, sum(fruit))
    changes = add_up(each.change for each in box.steps)
    assert (0 if changes is None else changes.count) == sum(fruit)
