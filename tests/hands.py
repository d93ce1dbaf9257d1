"""Hands at the desktop in tests: a keyboard, a scale and a clock, no mouse."""

from contextlib import ExitStack
from dataclasses import replace
from datetime import date
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLabel, QPushButton, QWidget

from shedstation.bootstrap.desktop import make_desk
from shedstation.domain.mass import parse_mass
from shedstation.domain.reading import Mode, Reading, ScaleEvent, State
from shedstation.ui.app import application, make_window

TODAY = date(2026, 6, 18)
Key = Qt.Key
PEOPLE_STEP = 4


class Hands:
    """A keyboard, a scale and a clock."""

    def __init__(self, folder: Path, stack: ExitStack) -> None:
        application()
        self.now_s = 100.0
        desk = make_desk(stack, folder, None)
        self.window = make_window(replace(desk, now_s=lambda: self.now_s, today=lambda: TODAY))
        self.window.show()
        QTest.qWaitForWindowActive(self.window)
        self.station = desk.station

    def press(
        self, *keys: Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier
    ) -> None:
        for key in keys:
            QTest.keyClick(self.focus(), key, modifier)
            QApplication.processEvents()

    def focus(self) -> QWidget:
        return QApplication.focusWidget() or self.window

    def step(self, key: Key = Key.Key_Space) -> None:
        """Press the step key once, well after the step before."""
        self.now_s += 1.0
        self.shows_again()
        self.press(key)

    def type(self, text: str) -> None:
        """Type into the field that has the focus, over what is in it."""
        field = self.focus()
        assert not isinstance(field, QPushButton), field.objectName()
        QTest.keyClick(field, Key.Key_A, Qt.KeyboardModifier.ControlModifier)
        QTest.keyClicks(field, text)

    def letters(self, text: str) -> None:
        """Press letter keys at the bench, slower than a scanner."""
        for letter in text:
            QTest.keyClicks(self.focus(), letter)
            QTest.qWait(90)

    def scan(self, text: str) -> None:
        """Scan a badge or a label at the bench: quick letters and Enter."""
        QTest.keyClicks(self.focus(), text)
        self.press(Key.Key_Return)

    def tab_to(self, name: str) -> QWidget:
        """Press Tab until the named widget has the focus."""
        for _ in range(60):
            if self.focus().objectName() == name:
                return self.focus()
            self.press(Key.Key_Tab)
        raise AssertionError(name)

    def choose(self, name: str, text: str) -> None:
        """Choose an item by its first letters, as a keyboard does."""
        combo = self.tab_to(name)
        assert isinstance(combo, QComboBox)
        for _ in range(combo.count()):
            if combo.currentText().startswith(text):
                return
            self.press(Key.Key_Down)
        for _ in range(combo.count()):
            if combo.currentText().startswith(text):
                return
            self.press(Key.Key_Up)
        raise AssertionError((name, text))

    def hears(self, event: ScaleEvent) -> None:
        self.window.pulse.hear(event)
        self.window.paint_now()

    def shows(self, pounds: str) -> None:
        for state in (State.MOVING, State.STEADY):
            self.now_s += 0.3
            self.hears(Reading(self.now_s, parse_mass(f"{pounds} lb"), state, Mode.GROSS))

    def shows_again(self) -> None:
        before = self.station.view("B1").reading
        if before is not None:
            self.hears(replace(before, at_s=self.now_s))

    @property
    def said(self) -> str:
        return self.window.form.message.text()


def set_up(hands: Hands, *, pin: str = "") -> None:
    hands.tab_to("farm_name")
    hands.type("Example Farm")
    hands.tab_to("address")
    hands.type("1 Example Road")
    hands.tab_to("origin")
    hands.type("Product of Example Island")
    for step in range(5):
        if pin and step == PEOPLE_STEP:
            hands.tab_to("pin")
            hands.type(pin)
        hands.tab_to("next")
        hands.press(Key.Key_Space)
    hands.tab_to("save")
    hands.press(Key.Key_Space)
    assert hands.station.setup is not None, hands.window.findChild(QWidget, "setup_said")


def to_bench(hands: Hands) -> None:
    hands.tab_to("open_day")
    hands.press(Key.Key_Space)
    hands.tab_to("new_weight")
    hands.type("400")
    hands.tab_to("receive")
    hands.press(Key.Key_Space)
    assert hands.focus().objectName() == "choose"
    hands.press(Key.Key_Space)
    assert hands.station.view("B1").choice is not None


def text_of(hands: Hands, name: str) -> str:
    """Read a label of the window."""
    label = hands.window.findChild(QLabel, name)
    assert label is not None
    return label.text()
