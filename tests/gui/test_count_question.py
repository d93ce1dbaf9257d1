"""At a close whose fruit could not all be told singly one key says how many there are."""

import pytest
from hands import TODAY, Hands
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton

from shedstation.domain.bench_sequence import Step
from shedstation.domain.box import Box
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Mode, Reading, State
from shedstation.ui.count_panel import CountPanel

Key = Qt.Key


def settles(hands: Hands, count: int) -> None:
    """Let the scale move to a weight, in hundredths of a pound, and rest there."""
    for state in (State.MOVING, *[State.STEADY] * 4):
        hands.now_s += 0.1
        hands.hears(Reading(hands.now_s, Mass(count, 2, Unit.LB), state, Mode.GROSS))


def fill(hands: Hands, *, together: int = 3) -> None:
    """Fill a box with half pounds, singly but for some that go in at once: 50 in all, 25.10 lb."""
    hands.shows("0.00")
    hands.shows("1.64")
    hands.step()
    loads = [*range(1, 50 - together), 49]
    for number in loads:
        settles(hands, 164 + 50 * number)
    settles(hands, 164 + 2510)


@pytest.fixture
def asked(hands: Hands) -> Hands:
    fill(hands)
    hands.step()
    assert hands.station.view("B1").step is Step.FILLING
    return hands


def panel(hands: Hands) -> CountPanel:
    return hands.window.counting


def answers(hands: Hands) -> dict[str, str]:
    buttons = panel(hands).findChildren(QPushButton)
    return {each.objectName(): each.text() for each in buttons}


def box(hands: Hands) -> Box:
    (only,) = hands.station.ledger.boxes_on(TODAY)
    return only


def test_that_the_close_asks_with_the_likeliest_counts_on_keys(asked: Hands) -> None:
    assert panel(asked).isVisible()
    assert answers(asked) == {
        "count_1": "1:  49 fruit",
        "count_2": "2:  50 fruit",
        "count_3": "3:  51 fruit",
        "count_4": "4:  another number",
        "count_0": "0:  not counted",
    }
    for button in panel(asked).findChildren(QPushButton):
        assert button.accessibleName() == button.text()


@pytest.mark.parametrize(("key", "count"), [("1", 49), ("2", 50), ("3", 51), ("0", None)])
def test_that_one_key_answers_and_the_box_closes(asked: Hands, key: str, count: int | None) -> None:
    asked.letters(key)
    assert asked.station.view("B1").step is Step.CLOSED
    assert not panel(asked).isVisible()
    assert box(asked).count == count
    told = box(asked).fruit
    assert told is not None
    assert (told.count, told.likely) == (None, 50)
    assert asked.station.view("B1").person is None


@pytest.mark.parametrize("key", [Key.Key_Space, Key.Key_Return])
def test_that_the_step_key_alone_closes_without_a_count(asked: Hands, key: Key) -> None:
    asked.press(key)
    assert asked.station.view("B1").step is Step.FILLING, "a bounce is no answer"
    asked.step(key)
    assert asked.station.view("B1").step is Step.CLOSED
    assert box(asked).fruit_count is None


def test_that_another_number_can_be_typed(asked: Hands) -> None:
    asked.letters("4")
    asked.type("1x")
    asked.press(Key.Key_Return)
    assert "1x is no number of fruit" in asked.said
    assert panel(asked).isVisible()
    asked.letters("4")
    asked.type("47")
    asked.now_s += 0.5
    asked.shows_again()
    asked.press(Key.Key_Return)
    assert box(asked).count == 47


def test_that_escape_leaves_the_box_open(asked: Hands) -> None:
    asked.press(Key.Key_Escape)
    assert not panel(asked).isVisible()
    assert asked.station.view("B1").step is Step.FILLING
    asked.step()
    assert panel(asked).isVisible()


def test_that_a_finger_can_answer_and_the_keys_stay_the_benchs(asked: Hands) -> None:
    button = panel(asked).findChild(QPushButton, "count_2")
    assert button is not None
    button.click()
    assert box(asked).count == 50
    settles(asked, 0)
    settles(asked, 164)
    asked.step()
    assert asked.station.view("B1").step is Step.FILLING


def test_that_an_answer_while_the_pan_moves_waits_as_a_press_does(asked: Hands) -> None:
    asked.now_s += 0.1
    asked.hears(Reading(asked.now_s, Mass(2680, 2, Unit.LB), State.MOVING, Mode.GROSS))
    asked.letters("2")
    assert asked.station.view("B1").armed == "close_box"
    settles(asked, 164 + 2510)
    assert box(asked).count == 50


def test_that_nothing_is_asked_where_every_fruit_was_told(hands: Hands) -> None:
    fill(hands, together=0)
    hands.step()
    assert hands.station.view("B1").step is Step.CLOSED
    assert not panel(hands).isVisible()
    assert box(hands).fruit_count == 50


def test_that_the_question_is_only_shown_at_the_bench(asked: Hands) -> None:
    asked.press(Key.Key_F3)
    assert not panel(asked).isVisible()
    asked.press(Key.Key_F1)
    assert panel(asked).isVisible()


def test_that_it_is_asked_in_the_persons_language(asked: Hands) -> None:
    asked.window.set_language("es")
    assert answers(asked)["count_0"] == "0:  sin contar"
    assert answers(asked)["count_2"] == "2:  50 frutas"


def test_that_a_box_lifted_before_the_answer_is_closed_uncounted(asked: Hands) -> None:
    settles(asked, 0)
    assert asked.station.view("B1").count_asked is None
    assert not panel(asked).isVisible()
    assert (box(asked).count, box(asked).net) == (None, Mass(2510, 2, Unit.LB))
