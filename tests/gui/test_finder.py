"""Find the scale by keyboard and take up what was found; type a weight by hand at the bench."""

import random
import time
from collections.abc import Iterator

import pytest
from hands import Hands, text_of
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from shedstation.bootstrap.practice import practice_setup
from shedstation.devices.practice.server import PracticeServer
from shedstation.domain.bench_sequence import Step
from shedstation.domain.mass import Unit

Key = Qt.Key
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def scale() -> Iterator[PracticeServer]:
    """A scale on the network that sends pounds in a block with a check."""
    setup = practice_setup("status-block-checked", Unit.LB)
    server = PracticeServer(setup, seed=random.Random(2).randrange(99), now_s=time.monotonic)
    server.start()
    yield server
    server.stop()


def button(hands: Hands, name: str) -> QPushButton:
    found = hands.window.findChild(QPushButton, name)
    assert found is not None
    return found


def test_that_a_scale_is_found_and_read_by_keyboard_alone(
    hands: Hands, scale: PracticeServer, qtbot: QtBot
) -> None:
    hands.press(Key.Key_F7)
    hands.tab_to("find")
    hands.press(Key.Key_Space)
    hands.tab_to("port")
    hands.type(scale.address)
    hands.tab_to("listen")
    hands.press(Key.Key_Space)
    assert not button(hands, "listen").isEnabled()
    qtbot.waitUntil(button(hands, "use").isEnabled, timeout=20_000)
    assert text_of(hands, "found") == "Sure: status-block-checked at 8N1."
    assert "the check in each agrees" in text_of(hands, "reasons")
    hands.press(Key.Key_Space)  # the focus is on the button that takes it up
    assert hands.window.desk.line.port == scale.address
    hands.type("found")
    hands.press(Key.Key_Return)
    bench = hands.window.setup.benches[0]
    assert (bench.scale, bench.port, bench.bits) == ("status-block-checked", scale.address, "8N1")
    qtbot.waitUntil(lambda: hands.station.view("B1").readings > 0, timeout=20_000)


def test_that_a_search_can_be_stopped(hands: Hands, scale: PracticeServer, qtbot: QtBot) -> None:
    scale.plug(out=True)
    hands.press(Key.Key_F7, modifier=CONTROL)
    hands.tab_to("port")
    hands.type(scale.address)
    hands.tab_to("listen")
    hands.press(Key.Key_Space)
    assert hands.focus().objectName() == "stop"
    hands.press(Key.Key_Space)
    qtbot.waitUntil(button(hands, "listen").isEnabled, timeout=20_000)
    assert not button(hands, "use").isEnabled()


def test_that_nothing_is_searched_while_a_box_is_open(hands: Hands) -> None:
    hands.press(Key.Key_F1)
    hands.shows("0.00")
    hands.shows("1.64")
    hands.step()
    assert hands.station.view("B1").step is Step.FILLING
    hands.press(Key.Key_F7, modifier=CONTROL)
    hands.tab_to("port")
    hands.type("socket://127.0.0.1:9")
    hands.tab_to("listen")
    hands.press(Key.Key_Space)
    assert "A box is open" in text_of(hands, "message")


def test_that_a_box_is_packed_with_typed_weights(hands: Hands) -> None:
    hands.press(Key.Key_F1)
    for weight in ("1.64", "26.79lb"):
        hands.letters("w")
        hands.type(weight)
        hands.press(Key.Key_Return)
        hands.now_s += 2.0
        hands.press(Key.Key_Space)
    view = hands.station.view("B1")
    assert view.step is Step.CLOSED
    assert view.last_box is not None
    assert (str(view.last_box.net), view.last_box.by_hand) == ("25.15 lb", True)


def test_that_a_weight_that_cannot_be_read_is_told(hands: Hands) -> None:
    hands.press(Key.Key_F1)
    hands.letters("w")
    hands.type("lots")
    hands.press(Key.Key_Return)
    assert "lots" in text_of(hands, "message")
    assert hands.station.view("B1").reading is None
