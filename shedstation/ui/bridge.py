"""Carry what the scale's thread hears into the GUI thread; the only place where they meet."""

from PySide6.QtCore import QObject, Signal

from shedstation.domain.reading import ScaleEvent


class FeedBridge(QObject):
    """Lives in the GUI thread; the reader's thread calls `deliver`.

    Signals:
        arrived: A scale event, in the GUI thread.
    """

    arrived = Signal(object)

    def deliver(self, event: ScaleEvent) -> None:
        """Pass an event on."""
        self.arrived.emit(event)
