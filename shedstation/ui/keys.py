"""Give every page and every hand of the practice scale its key and its button."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from PySide6.QtGui import QKeySequence, QShortcut

from shedstation.ui.desk import PracticeControl

if TYPE_CHECKING:
    from shedstation.ui.window import StationWindow

PAGES: Final = ("bench", "loads", "culls", "labels", "boxes", "day", "scale", "setup")
"""The pages in the order of their function keys, from F1."""

_PRACTICE: Final = {
    "box": "Ctrl+B", "fruit": "Ctrl+F", "little": "Ctrl+D", "out": "Ctrl+O", "lift": "Ctrl+L",
    "tare": "Ctrl+T", "zero": "Ctrl+Z", "hand": "Ctrl+H", "plug": "Ctrl+U",
}  # fmt: skip


def connect_keys(window: "StationWindow") -> None:
    """Connect function keys to pages, and practice keys where there is a practice scale."""
    turns = [(name, _GoTo(window, name)) for name in PAGES]
    for number, (name, turn) in enumerate([*turns, ("language", window.next_language)], start=1):
        window.button(f"nav_{name}").clicked.connect(turn)
        QShortcut(QKeySequence(f"F{number}"), window).activated.connect(turn)
    if window.desk.practice is not None:
        for name, call in _hands(window.desk.practice).items():
            window.button(f"practice_{name}").clicked.connect(call)
            QShortcut(QKeySequence(_PRACTICE[name]), window).activated.connect(call)


def _hands(practice: PracticeControl) -> dict[str, Callable[[], None]]:
    return {
        "box": practice.put_box,
        "fruit": practice.add_fruit,
        "little": practice.add_little,
        "out": practice.take_fruit,
        "lift": practice.lift_off,
        "tare": practice.press_tare,
        "zero": practice.press_zero,
        "hand": practice.shake,
        "plug": _Plug(practice),
    }


class _GoTo:
    """Turns to a page; a plain call, made in the GUI thread."""

    def __init__(self, window: "StationWindow", name: str) -> None:
        self._window = window
        self._name = name

    def __call__(self) -> None:
        self._window.go_to(self._name)


class _Plug:
    """Pulls the practice scale's cable out, or puts it back."""

    def __init__(self, practice: PracticeControl) -> None:
        self._practice = practice

    def __call__(self) -> None:
        self._practice.plug(out=self._practice.is_plugged)
