"""What the bench says about its own scale: the empty pan, the box just closed, typed weights, fit."""

from dataclasses import replace

import pytest
from driving import Driver, Spool

from shedstation.domain.bench_sequence import Step
from shedstation.domain.day import day_json
from shedstation.domain.farm import Pack, Setup
from shedstation.domain.mass import parse_mass
from shedstation.domain.scale_fit import bench_warnings, is_too_coarse, pack_warnings
from shedstation.domain.scale_tolerance import Standard
from shedstation.station.actions import Choose, CloseBox, ContinueBox, Correct, TareBox
from shedstation.store.ledger import SqlLedger


def pack_box(bench: Driver, *, before: str = "0.00", gross: str = "26.74") -> None:
    bench.shows(before)
    bench.shows("1.64")
    assert bench.code(TareBox) is None
    bench.shows(gross)
    assert bench.code(CloseBox) is None


# ---- the empty pan


def test_that_a_leaf_left_at_lift_off_is_said_on_the_empty_pan(bench: Driver) -> None:
    pack_box(bench)
    bench.shows("0.03")
    assert (bench.view.step, bench.view.say.name) == (Step.EMPTY, "bench.zero_left_on")
    assert bench.view.say.values["shown"] == parse_mass("0.03 lb")
    bench.shows("0.00")
    assert bench.view.say.name == "bench.put_box_on"


def test_that_a_drying_pan_is_said(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("0.06")
    for text in ("0.06", "0.06", "0.05", "0.05", "0.05", "0.04"):
        bench.hear(f"{text} lb", after=0.9)
    assert bench.view.say.name == "bench.zero_drying"


def test_that_a_creeping_zero_is_said_after_some_boxes(bench: Driver) -> None:
    for zero in ("0.00", "0.01", "0.02"):
        pack_box(bench, before=zero)
    bench.shows("0.03")
    assert bench.view.say.name == "bench.zero_drifting"


def test_that_a_zero_nobody_saw_move_is_said_as_before(bench: Driver) -> None:
    bench.shows("0.05")
    assert bench.view.say.name == "bench.zero_first"


def test_that_a_box_on_a_pan_off_zero_is_warned_of_before_it_is_tared(bench: Driver) -> None:
    pack_box(bench)
    bench.shows("0.04")
    bench.shows("1.68")
    assert bench.view.step is Step.BOX_ON
    assert bench.view.warning is not None
    assert bench.view.warning.name == "bench.tare_off_zero"
    bench.ask(TareBox)
    assert bench.view.warning is None


def test_that_a_scale_zeroed_under_a_box_has_no_trouble_with_its_zero(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.jumps("0.00")
    bench.shows("25.10")
    bench.ask(CloseBox)
    bench.shows("-1.64")
    assert bench.view.say.name == "bench.put_box_on"


# ---- the box just closed


def test_that_a_zero_that_moved_under_a_box_near_its_limit_is_said(bench: Driver) -> None:
    pack_box(bench, gross="26.66")  # 25.02 lb in a window from 25.00 lb
    bench.shows("0.03")
    assert bench.view.say.name == "bench.zero_moved"
    assert bench.view.say.values["serial"] == "B1-000001"


@pytest.mark.parametrize("after", ["0.02", "0.03"])
def test_that_a_zero_that_moved_too_little_to_matter_says_nothing_of_the_box(
    bench: Driver, after: str
) -> None:
    gross = "26.65" if after == "0.02" else "26.74"  # within two divisions, or well in the window
    pack_box(bench, gross=gross)
    bench.shows(after)
    assert bench.view.say.name == "bench.zero_left_on"


def test_that_a_box_whose_zero_nobody_saw_is_not_accused(bench: Driver) -> None:
    bench.shows("1.64")
    bench.ask(TareBox)
    bench.shows("26.65")
    bench.ask(CloseBox)
    bench.shows("0.05")
    assert bench.view.say.name == "bench.zero_first"


# ---- typed weights


@pytest.mark.parametrize("typed", ["tare", "net", "neither"])
def test_that_a_box_weighed_by_hand_says_so(bench: Driver, typed: str) -> None:
    bench.shows("0.00")
    bench.hear("1.64 lb", typed=typed == "tare")
    bench.ask(TareBox)
    bench.shows("26.74")
    bench.hear("26.74 lb", typed=typed == "net")
    bench.ask(CloseBox)
    box = bench.boxes[0]
    assert box.by_hand is (typed != "neither")
    row = day_json(bench.ledger.day_record(box.packed_on))["boxes"][0]  # type: ignore[index]  # fixed form
    assert row.get("by_hand") == (True if box.by_hand else None)
    bench.ask(Correct, what="box", which=("#1",), set={"grade": "2"}, reason="slip")
    assert bench.boxes[0].by_hand is box.by_hand


def test_that_a_box_tared_by_hand_stays_so_over_a_stop(
    bench: Driver, ledger: SqlLedger, sample_setup: Setup
) -> None:
    bench.shows("0.00")
    bench.hear("1.64 lb", typed=True)
    bench.ask(TareBox)
    again = Driver(ledger, sample_setup, Spool())
    again.now = bench.now + 10
    again.shows("26.74")
    again.ask(ContinueBox)
    assert again.code(CloseBox) is None
    assert again.boxes[0].by_hand


def test_that_the_next_box_is_not_by_hand(bench: Driver) -> None:
    bench.shows("0.00")
    bench.hear("1.64 lb", typed=True)
    bench.ask(TareBox)
    bench.shows("26.74")
    bench.ask(CloseBox)
    bench.shows("0.00")
    pack_box(bench)
    assert [box.by_hand for box in bench.boxes] == [True, False]


# ---- a scale too coarse for the pack


def names(pack: Pack, setup: Setup) -> list[str]:
    return [each.name for each in pack_warnings(pack, setup.benches[0], Standard.US)]


def test_that_the_sample_farms_scale_fits_its_packs(sample_setup: Setup) -> None:
    for pack in sample_setup.packs:
        assert names(pack, sample_setup) == []
        assert not is_too_coarse(pack, sample_setup.benches[0].division)


@pytest.mark.parametrize(
    ("over", "warned"),
    [
        # 25 lb on 60 lb x 0.01 lb may be off by 0.03 lb (HB 44 Table 6): half of 0.06 lb
        ("0.06 lb", []),
        ("0.05 lb", ["fit.tolerance"]),
        ("0.04 lb", ["fit.few_divisions", "fit.tolerance"]),
    ],
)
def test_that_a_narrow_window_is_warned_of(
    sample_setup: Setup, over: str, warned: list[str]
) -> None:
    # source of the tolerance: HB 44 Table 6; half a window and five divisions: our own rules
    pack = replace(sample_setup.packs[0], over=parse_mass(over))
    assert names(pack, sample_setup) == warned


@pytest.mark.parametrize(("over", "coarse"), [("0.02 lb", False), ("0.019 lb", True)])
def test_that_a_window_of_less_than_two_divisions_cannot_be_packed(
    sample_setup: Setup, over: str, coarse: bool
) -> None:
    # our own rule, no published source
    pack = replace(sample_setup.packs[0], over=parse_mass(over))
    assert is_too_coarse(pack, parse_mass("0.01 lb")) is coarse


def test_that_a_target_under_twenty_divisions_is_warned_of(sample_setup: Setup) -> None:
    # source: HB 44 Table 8 and R 76-1 Table 3, from memory
    light = replace(sample_setup.packs[0], target=parse_mass("0.19 lb"), under=parse_mass("0.1 lb"))
    assert "fit.light_load" in names(light, sample_setup)
    assert "fit.light_load" not in names(replace(light, target=parse_mass("0.20 lb")), sample_setup)


@pytest.mark.parametrize(
    ("division", "capacity", "warned"),
    [
        ("0.01 lb", "100 lb", []), ("0.01 lb", "100.01 lb", ["fit.divisions"]),
        ("0.01 lb", "5 lb", []), ("0.01 lb", "4.99 lb", ["fit.divisions"]),
        ("0.005 lb", "0.5 lb", []), ("0.005 lb", "0.495 lb", ["fit.divisions"]),
        ("0.0001 lb", "1 lb", ["fit.fine_division"]),
    ],
)  # fmt: skip
def test_that_a_scale_that_cannot_be_class_iii_is_warned_of(
    sample_setup: Setup, division: str, capacity: str, warned: list[str]
) -> None:
    # source: HB 44 section 2.20 Table 3
    bench = replace(
        sample_setup.benches[0], division=parse_mass(division), capacity=parse_mass(capacity)
    )
    assert [each.name for each in bench_warnings(bench)] == warned


def test_that_choosing_a_pack_the_scale_hardly_fits_is_done_and_said(
    ledger: SqlLedger, sample_setup: Setup
) -> None:
    narrow = replace(sample_setup.packs[0], over=parse_mass("0.03 lb"))
    bench = Driver(ledger, replace(sample_setup, packs=(narrow, *sample_setup.packs[1:])), Spool())
    bench.open_day()
    outcome = bench.ask(Choose, load="L1", pack=narrow.name, grade="1")
    assert outcome.done
    assert outcome.advice is not None
    assert outcome.advice.name == "fit.few_divisions"
    assert bench.ask(Choose, load="L1", pack="Tray by weight", grade="1").advice is None
