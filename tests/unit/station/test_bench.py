"""The bench from box to box: three ways to a tare, breaks, changes, presses that wait."""

import pytest
from driving import Driver

from shedstation.domain.bench_sequence import Step
from shedstation.domain.box import TareBy
from shedstation.domain.mass import parse_mass
from shedstation.domain.reading import Mode
from shedstation.station.actions import (
    CloseBox,
    TareBox,
)
from shedstation.station.bench_view import NextKey


def start_box(bench: Driver, empty: str = "1.64") -> None:
    bench.shows("0.00")
    bench.shows(empty)
    assert bench.code(TareBox) is None


def test_that_a_box_is_tared_filled_closed_and_lifted(bench: Driver) -> None:
    bench.shows("0.00")
    assert bench.view.say.name == "bench.put_box_on"
    bench.shows("1.64")
    assert (bench.view.say.name, bench.view.next_key) == ("bench.tare_box", NextKey.TARE)
    bench.ask(TareBox)
    bench.shows("25.35")
    assert bench.view.say.name == "bench.add"
    assert bench.view.say.values["mass"] == parse_mass("1.29 lb")
    bench.shows("26.79")
    assert (bench.view.say.name, bench.view.next_key) == ("bench.close_box", NextKey.CLOSE)
    bench.ask(CloseBox)
    assert bench.view.say.name == "bench.lift_off"
    bench.shows("0.00")
    assert bench.view.step is Step.EMPTY
    box = bench.boxes[0]
    assert (str(box.gross), str(box.tare), str(box.net)) == ("26.79 lb", "1.64 lb", "25.15 lb")
    assert (box.serial, box.lot, box.tare_by) == ("B1-000001", "616901", TareBy.STATION)


def test_that_net_is_gross_minus_tare_to_the_last_digit(bench: Driver) -> None:
    start_box(bench, "1.67")
    bench.shows("26.88")
    bench.ask(CloseBox)
    box = bench.boxes[0]
    assert box.gross - box.tare == box.net


@pytest.mark.parametrize("key", ["tare", "zero"])
def test_that_the_scales_own_key_tares_and_is_never_tared_again(bench: Driver, key: str) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.mode = Mode.NET if key == "tare" else Mode.GROSS
    bench.jumps("0.00")
    assert bench.view.step is Step.FILLING
    assert bench.code(TareBox) == "already_tared"
    bench.shows("25.10")
    bench.ask(CloseBox)
    box = bench.boxes[0]
    assert (str(box.gross), str(box.tare), str(box.net)) == ("26.74 lb", "1.64 lb", "25.10 lb")
    assert box.tare_by is (TareBy.SCALE if key == "tare" else TareBy.ZERO)


def test_that_a_key_on_a_scale_without_mode_is_recognised(bench: Driver) -> None:
    bench.mode = Mode.UNKNOWN
    bench.shows("0.00")
    bench.shows("1.70")
    bench.jumps("0.01")
    assert bench.view.step is Step.FILLING
    assert bench.view.tare == parse_mass("1.70 lb")


def test_that_the_tare_the_scale_sends_is_taken(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.mode = Mode.NET
    bench.hear("0.00 lb", tare=parse_mass("1.66 lb"))
    assert bench.view.tare == parse_mass("1.66 lb")


def test_that_a_box_lifted_off_slowly_is_no_zero_key(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.shows("0.00")
    assert bench.view.step is Step.EMPTY


@pytest.mark.parametrize("mode", [Mode.NET, Mode.GROSS])
def test_that_minus_the_tare_after_lift_off_never_becomes_the_next_tare(
    bench: Driver, mode: Mode
) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.mode = mode
    bench.jumps("0.00")
    bench.shows("25.10")
    bench.ask(CloseBox)
    bench.shows("-1.64")
    assert bench.view.step is Step.EMPTY
    assert bench.code(TareBox) == "odd_tare"
    bench.shows("0.06")
    assert bench.view.step is Step.BOX_ON
    bench.jumps("0.00")
    assert bench.view.tare == parse_mass("1.70 lb")
    bench.shows("25.20")
    bench.ask(CloseBox)
    assert str(bench.boxes[1].net) == "25.20 lb"
    assert str(bench.boxes[1].gross) == "26.90 lb"


def test_that_the_station_can_tare_on_top_of_the_scales_old_tare(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.mode = Mode.NET
    bench.jumps("0.00")
    bench.shows("25.10")
    bench.ask(CloseBox)
    bench.shows("-1.64")
    bench.shows("0.11")
    assert bench.code(TareBox) is None
    bench.shows("25.21")
    bench.ask(CloseBox)
    box = bench.boxes[1]
    assert (str(box.tare), str(box.net), str(box.gross)) == ("1.75 lb", "25.10 lb", "26.85 lb")


def test_that_a_zeroed_empty_pan_starts_anew(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.jumps("0.00")
    bench.shows("25.10")
    bench.ask(CloseBox)
    bench.shows("-1.64")
    bench.jumps("0.00")
    assert bench.view.step is Step.EMPTY
    bench.shows("1.80")
    bench.ask(TareBox)
    assert bench.view.tare == parse_mass("1.80 lb")


def test_that_a_box_weighed_with_its_own_box_is_noticed_at_lift_off(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.jumps("0.00")  # whisked off in one reading, taken for a press of the zero key
    bench.shows("25.10")
    bench.ask(CloseBox)
    bench.shows("0.00")
    assert bench.view.say.name == "bench.weigh_again"
    assert bench.view.say.values["serial"] == "B1-000001"


def test_that_an_unusual_empty_box_must_be_confirmed(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("2.40")
    assert bench.view.next_key is NextKey.TARE_HELD
    assert bench.code(TareBox) == "odd_tare"
    assert bench.code(TareBox, confirmed=True) is None
    assert bench.view.tare == parse_mass("2.40 lb")


def test_that_a_hidden_tare_nobody_saw_is_not_tared_over(bench: Driver) -> None:
    bench.mode = Mode.NET
    bench.shows("1.64")
    assert bench.view.say.name == "bench.clear_scale_tare"
    assert bench.code(TareBox) == "scale_tared"


def test_that_under_and_over_are_refused_and_the_lead_may_override(bench: Driver) -> None:
    start_box(bench)
    bench.shows("20.00")
    assert bench.code(CloseBox) == "outside_window"
    assert bench.code(CloseBox, override_reason="last of the load") is None
    assert bench.boxes[0].override_reason == "last of the load"
    assert bench.boxes[0].verdict.value == "under"


def test_that_an_override_never_closes_an_empty_box(bench: Driver) -> None:
    start_box(bench)
    bench.shows("1.64")
    assert bench.code(CloseBox, override_reason="why not") == "nothing_in_box"


def test_that_a_second_box_on_the_pan_is_named(bench: Driver) -> None:
    start_box(bench)
    bench.shows("50.00")
    assert bench.view.say.name == "bench.second_box"


def test_that_after_a_close_only_lift_off_moves_on(bench: Driver) -> None:
    start_box(bench)
    bench.shows("26.70")
    bench.ask(CloseBox)
    bench.shows("27.30")
    assert bench.code(CloseBox) == "not_lifted_off"
    assert bench.code(TareBox) == "not_lifted_off"
    assert bench.view.step is Step.CLOSED
    assert len(bench.boxes) == 1


def test_that_the_tare_key_on_an_empty_net_pan_starts_anew(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.mode = Mode.NET
    bench.jumps("0.00")
    bench.shows("25.10")
    bench.ask(CloseBox)
    bench.shows("-1.64")
    bench.jumps("0.00")  # pressed with nothing on
    assert bench.view.step is Step.EMPTY
    bench.shows("1.72")
    bench.jumps("0.00")
    assert bench.view.tare == parse_mass("1.72 lb")
    assert bench.view.tare_by is TareBy.SCALE


def test_that_a_confirmed_light_box_can_be_tared_but_no_leaf(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("0.05")
    assert bench.code(TareBox, confirmed=True) == "odd_tare"
    bench.shows("0.50")
    assert bench.code(TareBox) == "odd_tare"
    assert bench.code(TareBox, confirmed=True) is None
    bench.shows("25.60")
    bench.ask(CloseBox)
    assert str(bench.boxes[0].net) == "25.10 lb"


def test_that_a_division_that_is_not_the_setups_is_noticed(bench: Driver) -> None:
    bench.shows("0.00")
    bench.hear("1.645 lb")
    bench.shows("0.00")
    assert bench.view.say.name == "bench.wrong_division"
    assert bench.view.say.values["shown"] == parse_mass("1.645 lb")
