"""Give every page and every hand of the practice scale its key and its button."""

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QApplication, QLineEdit, QPushButton, QWidget

from shedstation.domain.message import Message
from shedstation.ui.desk import PracticeControl

if TYPE_CHECKING:
    from shedstation.ui.window import StationWindow

PAGES: Final = ("bench", "loads", "culls", "labels", "boxes", "day", "scale", "setup")
"""The pages in the order of their function keys, from F1."""

INNER_PAGES: Final = {
    "audit": ("day", "Ctrl+F6"),
    "fill": ("day", "Shift+F6"),
    "scale_check": ("scale", "Shift+F7"),
    "finder": ("scale", "Ctrl+F7"),
    "teach": ("scale", "Ctrl+Shift+F7"),
}
"""Pages reached from another one, which stays marked: by a button there, or a key."""

_ENTER: Final = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_PRACTICE: Final = {
    "box": "Ctrl+B", "fruit": "Ctrl+F", "little": "Ctrl+D", "out": "Ctrl+O", "back": "Ctrl+I",
    "lift": "Ctrl+L", "tare": "Ctrl+T", "zero": "Ctrl+Z", "hand": "Ctrl+H", "print": "Ctrl+P",
    "plug": "Ctrl+U",
}  # fmt: skip


def connect_keys(window: "StationWindow") -> None:
    """Connect function keys to pages, and practice keys where there is a practice scale."""
    turns = [(name, _GoTo(window, name)) for name in PAGES]
    for number, (name, turn) in enumerate([*turns, ("language", window.next_language)], start=1):
        window.button(f"nav_{name}").clicked.connect(turn)
        QShortcut(QKeySequence(f"F{number}"), window).activated.connect(turn)
    for name, (_, key) in INNER_PAGES.items():
        QShortcut(QKeySequence(key), window).activated.connect(_GoTo(window, name))
    if window.desk.practice is not None:
        window.button("practice_print").setVisible(window.desk.practice.has_print_key)
        for name, hand in _hands(window, window.desk.practice).items():
            call = _AtPractice(window, hand)
            window.button(f"practice_{name}").clicked.connect(call)
            QShortcut(QKeySequence(_PRACTICE[name]), window).activated.connect(call)


class KeyFilter(QObject):
    """Gives the bench its keys, unless something is being typed; lets Enter press a button."""

    def __init__(self, window: "StationWindow") -> None:
        """Watch the keys of the whole program."""
        super().__init__(window)
        self._window = window
        QApplication.instance().installEventFilter(self)  # type: ignore[union-attr]  # there is one

    def stop(self) -> None:
        """Watch no more."""
        QApplication.instance().removeEventFilter(self)  # type: ignore[union-attr]  # there is one

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802  # Qt's name
        """Take a key, or let it go on."""
        if not isinstance(event, QKeyEvent) or not self._window.isActiveWindow():
            return False
        kind = event.type()
        if kind not in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            return False
        focus, bench = QApplication.focusWidget(), self._window.bench_page()
        if watched is not (focus or self._window):
            return False  # Passed on by a field that had the focus when the key was pressed.
        if bench is not None and not self._is_typed_into(focus):
            pressed = kind == QEvent.Type.KeyPress
            return bench.key_pressed(event) if pressed else bench.key_released(event)
        return kind == QEvent.Type.KeyPress and _pressed_by_enter(focus, event)

    def _is_typed_into(self, focus: QWidget | None) -> bool:
        if focus is None or not focus.isVisible():
            return False
        return isinstance(focus, QLineEdit) or self._window.is_answering(focus)


def _pressed_by_enter(focus: QWidget | None, event: QKeyEvent) -> bool:
    if not isinstance(focus, QPushButton) or event.key() not in _ENTER:
        return False
    focus.click()
    return True


def _hands(window: "StationWindow", practice: PracticeControl) -> dict[str, Callable[[], None]]:
    return {
        "box": practice.put_box,
        "fruit": practice.add_fruit,
        "little": practice.add_little,
        "out": _TakeOut(window, practice),
        "back": _PutBack(window, practice),
        "lift": practice.lift_off,
        "tare": practice.press_tare,
        "zero": practice.press_zero,
        "hand": practice.shake,
        "print": practice.press_print,
        "plug": _Plug(practice),
    }


class _GoTo:
    """Turns to a page; a plain call, made in the GUI thread."""

    def __init__(self, window: "StationWindow", name: str) -> None:
        self._window = window
        self._name = name

    def __call__(self) -> None:
        self._window.go_to(self._name)


class _AtPractice:
    """Moves a hand at the practice scale; reads that scale first if none is read yet."""

    def __init__(self, window: "StationWindow", hand: Callable[[], None]) -> None:
        self._window = window
        self._hand = hand

    def __call__(self) -> None:
        desk = self._window.desk
        if desk.practice is None or desk.station.setup is None:
            return
        if desk.line.port is None:
            bench = desk.station.setup.benches[0]
            desk.line.connect(replace(bench, port=desk.practice.address, scale="auto"))
        elif desk.line.port != desk.practice.address:
            self._window.tell(Message("ui.other_scale_read"))
        self._hand()


class _TakeOut:
    """Takes out the fruit that is advised, else the last one."""

    def __init__(self, window: "StationWindow", practice: PracticeControl) -> None:
        self._window = window
        self._practice = practice

    def __call__(self) -> None:
        trim = self._window.desk.station.view(self._window.bench).trim
        self._practice.take_fruit((None if trim is None else trim.takes_out) or 1)


class _PutBack:
    """Puts in the fruit of the cup that is advised, else the one that was taken out last."""

    def __init__(self, window: "StationWindow", practice: PracticeControl) -> None:
        self._window = window
        self._practice = practice

    def __call__(self) -> None:
        trim = self._window.desk.station.view(self._window.bench).trim
        self._practice.put_back(None if trim is None else trim.puts_in)


class _Plug:
    """Pulls the practice scale's cable out, or puts it back."""

    def __init__(self, practice: PracticeControl) -> None:
        self._practice = practice

    def __call__(self) -> None:
        self._practice.plug(out=self._practice.is_plugged)
