"""A person without a mouse checks the scale with test weights."""

from dataclasses import replace
from datetime import date, timedelta

from hands import TODAY, Hands, text_of
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit, QTableView

from shedstation.domain.mass import Unit, parse_mass
from shedstation.domain.reading import Mode, Reading, State
from shedstation.domain.scale_check import Outcome, ScaleCheck
from shedstation.ui.waiting import waiting

Key = Qt.Key
SHIFT = Qt.KeyboardModifier.ShiftModifier


def start(hands: Hands, weights: str = "10 lb; 25 lb") -> None:
    hands.press(Key.Key_F7, modifier=SHIFT)
    hands.tab_to("weights")
    hands.type(weights)
    hands.tab_to("certificate")
    hands.type("set 4")
    hands.tab_to("start")
    hands.press(Key.Key_Space)


def going(hands: Hands) -> ScaleCheck:
    check = hands.station.check_at("B1")
    assert check is not None
    return check


def lay_on(hands: Hands, *, off: int = 0) -> None:
    check = going(hands)
    assert check.next_task is not None
    load = check.next_task.load(Unit.LB).in_unit(Unit.LB, 2) + check.division * off
    hands.shows("3.33")
    hands.shows(load.number())


def test_that_the_scale_is_checked_with_space_alone(hands: Hands) -> None:
    start(hands)
    assert text_of(hands, "check_sentence").startswith("Take everything off the pan.")
    number = 0
    while hands.station.check_at("B1") is not None:
        lay_on(hands, off=4 if number == 2 else 0)
        if number == 1:
            assert text_of(hands, "check_sentence").startswith(
                "Put the 10 lb weight in the middle. Press Space"
            )
        hands.step()
        number += 1
    last = hands.station.ledger.last_check("B1")
    assert last is not None
    assert (last.day, last.check.outcome) == (TODAY, Outcome.FAILED)
    assert last.check.certificate == "set 4"
    assert "25 lb in the middle: the scale showed 25.04 lb" in text_of(hands, "check_said")
    table = hands.window.findChild(QTableView, "points")
    assert table is not None
    assert table.model().index(2, 0).data() == "✗ failed"
    hands.press(Key.Key_F1)
    hands.shows("0.00")
    assert "failed its last check" in text_of(hands, "detail")


def test_that_the_check_page_is_reached_from_the_scales_page_too(hands: Hands) -> None:
    hands.press(Key.Key_F7)
    hands.tab_to("check_weights")
    hands.press(Key.Key_Return)
    assert hands.window.findChild(QLineEdit, "weights").hasFocus()  # type: ignore[union-attr]  # there


def test_that_a_weight_mistaken_for_another_takes_two_presses(hands: Hands) -> None:
    start(hands)
    lay_on(hands)
    hands.step()
    hands.shows("25.00")
    hands.step()
    assert "Is 10 lb on the pan" in hands.said
    assert len(going(hands).points) == 1
    hands.step()
    assert len(going(hands).points) == 2


def test_that_a_press_waits_for_the_weight_and_says_what_came_of_it(hands: Hands) -> None:
    start(hands)
    lay_on(hands)
    hands.step()
    hands.now_s += 1.0
    hands.hears(Reading(hands.now_s, parse_mass("20.00 lb"), State.MOVING, Mode.GROSS))
    hands.press(Key.Key_Space)
    assert "three seconds" in text_of(hands, "reading_state")
    hands.shows("25.00")
    assert "Is 10 lb on the pan" in hands.said
    hands.shows("10.00")
    hands.step()
    assert len(going(hands).points) == 2


def test_that_a_second_press_at_once_takes_no_point(hands: Hands) -> None:
    start(hands)
    lay_on(hands)
    hands.step()
    hands.shows("10.00")
    before = len(going(hands).points)
    hands.step()
    hands.press(Key.Key_Space)
    assert len(going(hands).points) == before + 1


def test_that_the_check_can_be_left_and_taken_up_again(hands: Hands) -> None:
    start(hands)
    lay_on(hands)
    hands.step()
    hands.press(Key.Key_F1)
    hands.shows("1.64")
    assert text_of(hands, "sentence").startswith("Scale check")
    hands.press(Key.Key_F7, modifier=SHIFT)
    lay_on(hands)
    hands.step()
    assert len(going(hands).points) == 2


def test_that_the_check_is_given_up_with_a_reason(hands: Hands) -> None:
    start(hands)
    lay_on(hands)
    hands.step()
    hands.tab_to("end")
    hands.press(Key.Key_Space)
    hands.type("rain")
    hands.press(Key.Key_Return)
    assert hands.station.check_at("B1") is None
    record = hands.station.ledger.day_record(TODAY)
    (tested,) = [each for each in record.happenings if each.kind == "scale_tested"]
    assert (tested.values["outcome"], tested.values["note"]) == ("unfinished", "rain")


def test_that_weights_that_cannot_be_read_are_told(hands: Hands) -> None:
    start(hands, "ten pounds")
    assert "ten pounds" in hands.said
    assert hands.station.check_at("B1") is None


def carry_through(hands: Hands, *, off: int = 0) -> None:
    start(hands, "25 lb")
    while hands.station.check_at("B1") is not None:
        lay_on(hands, off=off if len(going(hands).points) == 1 else 0)
        hands.step()


def reminded(hands: Hands, day: date) -> str | None:
    said = waiting(replace(hands.window.desk, today=lambda: day))
    return None if said is None else said.name


def test_that_a_check_is_reminded_of_when_its_days_are_over(hands: Hands) -> None:
    # common practice, no published source: every 30 days unless the farm says otherwise
    hands.press(Key.Key_F6)
    hands.tab_to("close_day")
    hands.press(Key.Key_Space)
    assert reminded(hands, TODAY + timedelta(days=29)) is None
    assert reminded(hands, TODAY + timedelta(days=30)) == "ui.scale_check_first"
    hands.tab_to("open_day")
    hands.press(Key.Key_Space)
    carry_through(hands)
    assert reminded(hands, TODAY) is None
    hands.press(Key.Key_F6)
    hands.tab_to("close_day")
    hands.press(Key.Key_Space)
    assert reminded(hands, TODAY + timedelta(days=30)) == "bench.scale_check_due"


def test_that_a_failed_check_is_reminded_of_at_once(hands: Hands) -> None:
    carry_through(hands, off=4)
    assert reminded(hands, TODAY) == "bench.scale_failed"
