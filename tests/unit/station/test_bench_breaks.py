"""Presses that wait, lines that break, and whatever else can happen to an open box."""

import pytest
from driving import DAY, Driver, Spool

from shedstation.domain.bench_sequence import Step
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Unit, parse_mass
from shedstation.domain.reading import LineBack, Mode, State
from shedstation.station.actions import (
    AbandonBox,
    CheckWash,
    Choose,
    CloseBox,
    CloseDay,
    ContinueBox,
    TareBox,
)
from shedstation.station.bench_view import Link, NextKey
from shedstation.store.ledger import SqlLedger


def start_box(bench: Driver, empty: str = "1.64") -> None:
    bench.shows("0.00")
    bench.shows(empty)
    assert bench.code(TareBox) is None


def zero_box(bench: Driver) -> None:
    """Put a box on and press the scale's own zero key."""
    bench.shows("0.00")
    bench.shows("1.64")
    bench.jumps("0.00")


def test_that_a_press_waits_three_seconds_for_a_steady_reading(bench: Driver) -> None:
    start_box(bench)
    bench.shows("26.70")
    bench.hear("26.90 lb", State.MOVING)
    assert bench.ask(CloseBox).waiting
    bench.hear("26.90 lb", State.MOVING, after=1.0)
    bench.hear("26.72 lb", State.STEADY, after=2.0)
    assert len(bench.boxes) == 1
    assert str(bench.boxes[0].net) == "25.08 lb"


def test_that_a_press_is_refused_when_nothing_gets_steady(bench: Driver) -> None:
    start_box(bench)
    bench.hear("26.90 lb", State.MOVING)
    bench.ask(CloseBox)
    for _ in range(4):
        bench.hear("26.90 lb", State.MOVING, after=0.9)
    bench.hear("26.70 lb")
    assert bench.refusals == ["not_steady"]
    assert not bench.boxes


def test_that_a_press_into_silence_is_refused(bench: Driver) -> None:
    start_box(bench)
    bench.shows("26.70")
    bench.wait(1.5)
    bench.ask(CloseBox)
    bench.wait(3.1)
    assert bench.refusals == ["not_steady"]


def test_that_the_next_action_disarms_a_press(bench: Driver) -> None:
    start_box(bench)
    bench.hear("26.90 lb", State.MOVING)
    bench.ask(CloseBox)
    bench.ask(CheckWash, free_chlorine_ppm="100", ph="7")
    bench.hear("26.70 lb")
    assert bench.refusals == ["superseded"]
    assert not bench.boxes


def test_that_a_steady_reading_older_than_a_second_closes_nothing(bench: Driver) -> None:
    start_box(bench)
    bench.shows("26.70")
    bench.now += 1.01
    assert bench.ask(CloseBox).waiting
    assert not bench.boxes


@pytest.mark.parametrize("period", [1.2, 2.0, 3.0])
def test_that_a_slow_scale_packs_boxes_too(bench: Driver, period: float) -> None:
    for pounds in ("0.00", "0.00", "1.64", "1.64"):
        for _ in range(int(period * 10) - 1):
            bench.wait(0.1)
        bench.hear(f"{pounds} lb", after=0.1)
    assert bench.code(TareBox) is None
    for _ in range(3):
        for _ in range(int(period * 10) - 1):
            bench.wait(0.1)
        bench.hear("26.74 lb", after=0.1)
    assert bench.code(CloseBox) is None
    assert str(bench.boxes[0].net) == "25.10 lb"


@pytest.mark.parametrize("moment", [107.3, 115.1, 131.2, 227.3])
def test_that_a_second_is_a_second_whatever_floats_say(bench: Driver, moment: float) -> None:
    start_box(bench)
    bench.hear("26.74 lb", after=moment - bench.now)
    bench.now = moment + 1.0
    assert not bench.ask(CloseBox).waiting
    assert len(bench.boxes) == 1


def test_that_a_scale_that_never_says_it_moves_may_show_the_next_box_as_zero(
    bench: Driver,
) -> None:
    for pounds in ("0.00", "1.64", "0.00", "25.10"):
        bench.hear(f"{pounds} lb", after=0.3)
        bench.hear(f"{pounds} lb", after=0.3)
    assert bench.code(CloseBox) is None
    for pounds in ("-1.64", "0.00", "25.20"):
        bench.hear(f"{pounds} lb", after=0.3)
        bench.hear(f"{pounds} lb", after=0.3)
    assert bench.code(CloseBox) is None
    assert [str(box.net) for box in bench.boxes] == ["25.10 lb", "25.20 lb"]


def test_that_silence_leaves_no_weight_standing(bench: Driver) -> None:
    start_box(bench)
    bench.shows("20.00")
    bench.wait(1.5)
    view = bench.view
    assert (view.link, view.reading, view.net) == (Link.SILENT, None, None)
    assert view.say.name == "bench.box_kept"


def test_that_twenty_breaks_in_one_box_do_not_lose_it(bench: Driver) -> None:
    start_box(bench)
    for number in range(20):
        shown = f"{2 + number}.10"
        bench.shows(shown)
        bench.lose_line()
        assert bench.view.link is Link.SILENT
        bench.jumps(shown)
        assert bench.view.step is Step.FILLING
    bench.shows("26.70")
    bench.ask(CloseBox)
    assert str(bench.boxes[0].net) == "25.06 lb"


@pytest.mark.parametrize("after", ["12.13", "12.07", "13.74", "10.46"])
def test_that_another_weight_after_a_break_is_asked_about(bench: Driver, after: str) -> None:
    start_box(bench)
    bench.shows("12.10")
    bench.lose_line()
    bench.jumps(after)
    assert bench.view.step is Step.CHANGED
    assert bench.view.net is None
    assert bench.code(CloseBox) == "box_changed"


@pytest.mark.parametrize("after", ["12.12", "12.08"])
def test_that_two_divisions_after_a_break_are_the_same_box(bench: Driver, after: str) -> None:
    start_box(bench)
    bench.shows("12.10")
    bench.lose_line()
    bench.jumps(after)
    assert bench.view.step is Step.FILLING


def test_that_a_jump_by_the_tare_after_a_break_is_never_net(bench: Driver) -> None:
    zero_box(bench)
    bench.shows("12.00")
    bench.lose_line()
    bench.jumps("13.64")  # the scale was switched off and shows gross again
    assert bench.view.step is Step.CHANGED
    assert bench.view.net is None
    assert bench.code(ContinueBox) is None
    assert bench.view.net == parse_mass("12.00 lb")


def test_that_a_zeroed_box_whose_weight_changed_in_a_break_must_be_tared_anew(
    bench: Driver,
) -> None:
    zero_box(bench)
    bench.shows("12.00")
    bench.lose_line()
    bench.jumps("14.50")  # gross or net, nobody can tell
    assert (bench.view.next_key, bench.view.say.name) == (NextKey.NOTHING, "bench.unproven")
    assert bench.code(ContinueBox) == "weight_unproven"
    assert bench.code(AbandonBox, reason="not sure") is None


def test_that_a_tare_key_pressed_on_a_filled_box_is_no_weight(bench: Driver) -> None:
    start_box(bench)
    bench.shows("12.10")
    bench.mode = Mode.NET
    bench.jumps("0.00")
    bench.shows("3.36")
    assert bench.view.next_key is NextKey.NOTHING
    assert (bench.view.step, bench.code(ContinueBox)) == (Step.CHANGED, "weight_unproven")
    assert bench.view.net is None


def test_that_a_tare_key_pressed_on_the_empty_pan_is_told_at_lift_off(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.mode = Mode.NET
    bench.jumps("0.00")
    bench.shows("25.10")
    assert bench.code(CloseBox) is None
    bench.shows("-1.64")
    bench.hear("-1.58 lb", State.MOVING)  # the key shakes the pan
    bench.jumps("0.00")
    bench.shows("25.10")
    assert bench.code(CloseBox) is None
    bench.shows("0.00")
    assert bench.view.say.name == "bench.weigh_again"


def test_that_a_doubtful_zero_is_settled_by_what_comes_next(bench: Driver) -> None:
    zero_box(bench)
    bench.shows("25.10")
    assert bench.code(CloseBox) is None
    bench.shows("-1.64")
    bench.jumps("0.00")  # the next box, or the zero key on the empty pan
    bench.shows("1.12")  # one fruit: the box is on
    assert bench.view.net == parse_mass("1.12 lb")
    bench.shows("25.20")
    assert bench.code(CloseBox) is None
    bench.shows("-1.64")
    bench.jumps("0.00")
    bench.shows("1.60")  # a box: it was the key
    assert bench.view.say.name == "bench.tare_box"


def test_that_another_line_in_the_middle_of_a_box_is_a_break(bench: Driver) -> None:
    start_box(bench)
    bench.shows("12.10")
    bench.station.hear("B1", LineBack(bench.now))
    bench.jumps("20.00")
    assert bench.view.step is Step.CHANGED


def test_that_a_key_at_the_scale_is_no_tare_before_anything_is_chosen(
    ledger: SqlLedger, sample_setup: Setup
) -> None:
    bench = Driver(ledger, sample_setup, Spool())
    zero_box(bench)
    assert not bench.view.step.has_open_box
    assert bench.view.tare is None
    bench.open_day()
    bench.shows("1.64")
    assert bench.view.say.name == "bench.tare_box"


def test_that_a_closed_box_keeps_its_weight_over_a_break(bench: Driver) -> None:
    zero_box(bench)
    bench.shows("25.10")
    assert bench.code(CloseBox) is None
    bench.lose_line()
    bench.jumps("25.10")
    assert bench.view.net == parse_mass("25.10 lb")


def test_that_a_person_can_say_it_is_the_same_box(bench: Driver) -> None:
    start_box(bench)
    bench.shows("12.10")
    bench.lose_line()
    bench.jumps("13.30")
    assert bench.code(ContinueBox) is None
    assert bench.view.net == parse_mass("11.66 lb")


def test_that_a_box_lifted_early_can_come_back_or_be_abandoned(bench: Driver) -> None:
    start_box(bench)
    bench.shows("12.10")
    bench.shows("0.00")
    assert (bench.view.step, bench.view.say.name) == (Step.LIFTED, "bench.lifted")
    bench.shows("12.11")
    assert bench.view.step is Step.FILLING
    bench.shows("0.00")
    assert bench.code(AbandonBox, reason="dropped") is None
    assert bench.view.step is Step.EMPTY


def test_that_a_lighter_load_cannot_be_the_same_box(bench: Driver) -> None:
    start_box(bench)
    bench.shows("12.10")
    bench.shows("0.00")
    bench.shows("1.20")
    assert bench.view.step is Step.CHANGED
    assert bench.code(ContinueBox) == "lighter_than_box"


def test_that_a_unit_changed_at_the_scale_stops_the_box_until_it_is_back(bench: Driver) -> None:
    start_box(bench)
    bench.shows("12.10")
    bench.hear("5.488 kg")
    assert (bench.view.step, bench.view.say.name) == (Step.CHANGED, "bench.wrong_unit")
    assert bench.code(CloseBox) == "wrong_unit"
    bench.jumps("12.10")
    assert bench.view.step is Step.FILLING


def test_that_a_wrong_unit_is_not_tared(bench: Driver) -> None:
    bench.shows("0.00")
    bench.hear("0.744 kg")
    assert bench.code(TareBox) == "wrong_unit"


def test_that_the_tare_key_in_the_middle_of_a_box_is_noticed(bench: Driver) -> None:
    start_box(bench)
    bench.shows("12.10")
    bench.mode = Mode.NET
    bench.jumps("0.00")
    assert bench.view.step in (Step.CHANGED, Step.LIFTED)
    assert bench.code(CloseBox) == "box_changed"


@pytest.mark.parametrize(
    ("state", "name"),
    [(State.OVER, "overload"), (State.UNDER, "under_range"), (State.FAULT, "scale_fault")],
)
def test_that_a_weight_beyond_the_range_is_said_and_closes_nothing(
    bench: Driver, state: State, name: str
) -> None:
    start_box(bench)
    bench.shows("26.70")
    bench.hear(None, state)
    assert bench.view.say.name == f"bench.{name}"
    assert bench.ask(CloseBox).waiting
    assert not bench.boxes


def test_that_a_hand_on_the_pan_only_makes_it_wait(bench: Driver) -> None:
    start_box(bench)
    bench.shows("26.70")
    bench.hear("28.00 lb", State.MOVING)
    bench.shows("26.70")
    bench.ask(CloseBox)
    assert str(bench.boxes[0].net) == "25.06 lb"


def test_that_nothing_else_is_chosen_while_a_box_is_open(bench: Driver) -> None:
    start_box(bench)
    assert bench.code(Choose, load="L1", pack="Tray by weight", grade="1") == "box_open"
    assert bench.code(CloseDay) == "box_open"


def test_that_a_negative_weight_on_an_empty_pan_asks_for_zero(bench: Driver) -> None:
    bench.shows("-0.40")
    assert bench.view.say.name == "bench.zero_first"


def test_that_pounds_and_ounces_keep_their_form(bench: Driver) -> None:
    assert str(parse_mass("25 lb 6.2 oz") - parse_mass("1 lb 10.4 oz")) == "23 lb 11.8 oz"
    assert Unit.LB_OZ.value == "lb-oz"
    assert bench.ledger.day_record(DAY).date == DAY
