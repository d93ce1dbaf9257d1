"""Keep the window going: hear the scale, let time pass, print what waits, paint at a calm pace."""

from typing import TYPE_CHECKING, Final, TypeGuard

from PySide6.QtCore import QObject, QTimer, Slot

from shedstation.domain.errors import WorldFault
from shedstation.domain.line_state import LineChanged, LineNotice, LineState
from shedstation.domain.message import Message
from shedstation.domain.reading import ScaleEvent
from shedstation.ui.bridge import FeedBridge

if TYPE_CHECKING:
    from shedstation.ui.window import StationWindow

_PAINT_MS: Final = 66
_TICK_MS: Final = 200
_PRINT_MS: Final = 250
_FAILED_PRINT_MS: Final = 5000
"""After a failure the printer is left in peace for a while."""


class Pulse(QObject):
    """What happens at a window by itself."""

    def __init__(self, window: "StationWindow") -> None:
        """Start hearing and counting time for a window."""
        super().__init__(window)
        self._window = window
        self.bridge = FeedBridge(self)
        self.bridge.arrived.connect(self.hear)
        window.desk.line.listen(self.bridge.deliver)
        self._paint = QTimer(self, interval=_PAINT_MS)
        self._paint.timeout.connect(window.paint_now)
        self._clock = QTimer(self, interval=_TICK_MS)
        self._clock.timeout.connect(self._tick)
        self._printing = QTimer(self, interval=_PRINT_MS)
        self._printing.timeout.connect(self.print_waiting)
        for timer in (self._paint, self._clock, self._printing):
            timer.start()

    def stop(self) -> None:
        """Stop for good."""
        for timer in (self._paint, self._clock, self._printing):
            timer.stop()

    @Slot(object)
    def hear(self, event: ScaleEvent) -> None:
        """Pass on what the scale sent; the screen follows at its own pace."""
        window = self._window
        if window.desk.station.setup is None:
            return
        if isinstance(event, LineNotice) or _is_our_fault(event):
            window.tell(event.say)
        try:
            window.desk.station.hear(window.bench, event)
        except WorldFault as fault:
            window.tell(fault.message)

    @Slot()
    def _tick(self) -> None:
        desk = self._window.desk
        if desk.station.setup is None:
            return
        try:
            desk.station.tick(desk.now_s())
        except WorldFault as fault:
            self._window.tell(fault.message)

    @Slot()
    def print_waiting(self) -> None:
        """Print the next waiting label; after a failure, wait a little and say so."""
        window = self._window
        station = window.desk.station
        if station.setup is None:
            return
        try:
            printed = station.print_next(window.desk.now_s())
        except WorldFault as fault:
            window.tell(fault.message)
            self._printing.setInterval(_FAILED_PRINT_MS)
            return
        if printed:
            window.printed()
        failed = station.last_failure if printed else None
        self._printing.setInterval(_PRINT_MS if failed is None else _FAILED_PRINT_MS)
        if failed is not None:
            values = {"serial": failed.serial, "why": failed.why or ""}
            window.tell(Message("ui.label_later", values))


def _is_our_fault(event: ScaleEvent) -> TypeGuard[LineChanged]:
    return isinstance(event, LineChanged) and event.state is LineState.OUR_FAULT
