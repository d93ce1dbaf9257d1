"""Run the desktop."""

import sys
from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Final

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

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
    "scale": ("scale_screen", "ScaleScreen"),
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


def run_desktop(desk: Desk) -> int:
    """Show the window until it is closed; give the exit status."""
    app = application()
    window = make_window(desk)
    window.show()
    QTimer.singleShot(0, window, window.paint_now)
    return app.exec()
