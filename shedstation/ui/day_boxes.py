"""Draw the day's boxes as a row of small crates, one a box, the newest last."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from shedstation.ui import theme

_BOX_PX = 24
_GAP_PX = 6


class DayBoxes(QWidget):
    """A small crate for each box; a light or heavy one has its mark above or below."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Start with none."""
        super().__init__(parent)
        self._verdicts: tuple[str, ...] = ()

    def show_boxes(self, verdicts: Sequence[str]) -> None:
        """Draw boxes by their verdict: `under`, `on`, `over` or `void`."""
        if tuple(verdicts) != self._verdicts:
            self._verdicts = tuple(verdicts)
            self.update()

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """Give the size that shows a morning's boxes."""
        return QSize(420, 30)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Draw as many of the newest boxes as there is room for."""
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        room = max(self.width() // (_BOX_PX + _GAP_PX), 1)
        top = (self.height() - _BOX_PX) / 2
        for place, verdict in enumerate(self._verdicts[-room:]):
            self._draw(
                painter, QRectF(place * (_BOX_PX + _GAP_PX) + 1, top, _BOX_PX, _BOX_PX), verdict
            )
        painter.end()

    def _draw(self, painter: QPainter, box: QRectF, verdict: str) -> None:
        painter.setPen(QPen(QColor(theme.INK), 2))
        painter.setBrush(QColor(theme.WHITE if verdict == "void" else theme.AMBER))
        painter.drawRoundedRect(box, 5, 5)
        if verdict == "void":
            painter.drawLine(box.topLeft(), box.bottomRight())
        elif verdict == "under":
            painter.fillRect(
                QRectF(box.left() + 3, box.bottom() - 8, box.width() - 6, 5), QColor(theme.INK)
            )
        elif verdict == "over":
            painter.fillRect(
                QRectF(box.left() + 3, box.top() + 3, box.width() - 6, 5), QColor(theme.INK)
            )
