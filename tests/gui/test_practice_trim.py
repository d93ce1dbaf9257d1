"""A newcomer plays a trim with the practice scale, in real time and by keys alone."""

import time
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path

import pytest
from hands import Hands, set_up, text_of, to_bench
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from shedstation.bootstrap.desktop import make_desk
from shedstation.devices.practice.scale import PracticeSetup
from shedstation.devices.practice.server import PracticeServer
from shedstation.domain.bench_sequence import Step
from shedstation.domain.mass import Mass, Unit
from shedstation.station.bench_view import BenchView
from shedstation.ui.app import make_window

Key = Qt.Key
CONTROL = Qt.KeyboardModifier.ControlModifier
WAIT_MS = 20_000


class Newcomer(Hands):
    """A keyboard and a practice scale; nothing moves unless a key is pressed."""

    def __init__(self, folder: Path, stack: ExitStack, practice: PracticeServer) -> None:
        self.window = make_window(make_desk(stack, folder, practice))
        self.window.show()
        self.station = self.window.desk.station
        self.practice = practice

    @property
    def view(self) -> BenchView:
        return self.station.view("B1")


@pytest.fixture
def newcomer(tmp_path: Path, qtbot: QtBot) -> Iterator[Newcomer]:
    with ExitStack() as stack:
        practice = PracticeServer(PracticeSetup(), seed=5, now_s=time.monotonic)
        practice.start()
        stack.callback(practice.stop)
        made = Newcomer(tmp_path / "data", stack, practice)
        qtbot.addWidget(made.window)
        qtbot.waitActive(made.window)
        set_up(made)
        setup = made.station.setup
        assert setup is not None
        bench = replace(setup.benches[0], cups=3)
        made.station.set_up(replace(setup, benches=(bench,)), at_s=time.monotonic())
        to_bench(made)
        yield made
        made.window.close()


def rests(newcomer: Newcomer, qtbot: QtBot, told: int) -> None:
    """Wait until so many fruit are told and the scale has rested longer than a hand would."""
    qtbot.waitUntil(lambda: len(newcomer.view.fruit) == told, timeout=WAIT_MS)
    qtbot.wait(1700)


def test_that_a_trim_is_played_with_the_practice_scale(newcomer: Newcomer, qtbot: QtBot) -> None:
    newcomer.press(Key.Key_B, modifier=CONTROL)
    qtbot.waitUntil(lambda: newcomer.view.step is Step.BOX_ON, timeout=WAIT_MS)
    newcomer.press(Key.Key_Space)
    qtbot.waitUntil(lambda: newcomer.view.step is Step.FILLING, timeout=WAIT_MS)
    qtbot.wait(500)
    for told in range(1, 4):
        newcomer.press(Key.Key_F, modifier=CONTROL)
        rests(newcomer, qtbot, told)
    assert "put it in cup 1" in text_of(newcomer, "sentence")
    before = newcomer.view.fruit[-1].weight
    newcomer.press(Key.Key_O, modifier=CONTROL)
    rests(newcomer, qtbot, 2)
    (kept,) = newcomer.station.ledger.cups("B1").cups
    assert kept.cup == 1
    assert abs(kept.weight - before) <= Mass(2, 2, Unit.LB)
    newcomer.press(Key.Key_I, modifier=CONTROL)
    rests(newcomer, qtbot, 3)
    newcomer.letters("1")
    assert newcomer.station.ledger.cups("B1").cups == ()
