"""Run the desktop."""

import gc
import sys
import traceback
from collections.abc import Callable, Mapping
from importlib import import_module
from types import TracebackType
from typing import Final

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from shedstation.domain.message import Message
from shedstation.ui import theme
from shedstation.ui.desk import Desk
from shedstation.ui.hub import Screen
from shedstation.ui.window import StationWindow

_PAGES: Final[Mapping[str, tuple[str, str]]] = {
    "loads": ("loads_screen", "LoadsScreen"),
    "culls": ("culls_screen", "CullsScreen"),
    "labels": ("labels_screen", "LabelsScreen"),
    "boxes": ("boxes_screen", "BoxesScreen"),
    "day": ("day_screen", "DayScreen"),
    "fill": ("fill_screen", "FillScreen"),
    "scale": ("scale_screen", "ScaleScreen"),
    "finder": ("finder_screen", "FinderScreen"),
    "scale_check": ("scale_check_screen", "ScaleCheckScreen"),
    "teach": ("teach_screen", "TeachScreen"),
    "audit": ("audit_screen", "AuditScreen"),
    "setup": ("setup_screen", "SetupScreen"),
}
"""Pages that are loaded when first turned to, so that the bench is there at once."""


def _maker(module: str, name: str) -> Callable[[StationWindow], Screen]:
    def make(window: StationWindow) -> Screen:
        made: Screen = getattr(import_module(f"shedstation.ui.{module}"), name)(window)
        return made

    return make


def application() -> QApplication:
    """Give the one application, dressed."""
    found = QApplication.instance()
    app = found if isinstance(found, QApplication) else QApplication(sys.argv[:1])
    if not app.styleSheet():
        theme.dress(app)
    return app


def make_window(desk: Desk) -> StationWindow:
    """Make the station's window on a desk; the application must exist."""
    return StationWindow(desk, {name: _maker(*where) for name, where in _PAGES.items()})


class _Hook:
    """Saves our own faults in a report and says so; the bench goes on."""

    def __init__(self, window: StationWindow, save_report: Callable[[str], str]) -> None:
        self._window = window
        self._save_report = save_report

    def __call__(
        self, kind: type[BaseException], fault: BaseException, where: TracebackType | None
    ) -> None:
        text = "".join(traceback.format_exception(kind, fault, where))
        self._window.tell(Message("cli.own_fault", {"report": self._save_report(text)}))


def run_desktop(desk: Desk, save_report: Callable[[str], str]) -> int:
    """Show the window until it is closed; give the exit status.

    Args:
        desk: What the window works with.
        save_report: Saves a report of a fault of our own and gives where it is.
    """
    app = application()
    window = make_window(desk)
    sys.excepthook = _Hook(window, save_report)
    window.show()
    # What was loaded stays: looking it through for garbage again and again would hold readings up.
    gc.freeze()
    QTimer.singleShot(0, window, window.paint_now)
    return app.exec()
