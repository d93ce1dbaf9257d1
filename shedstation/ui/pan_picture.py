"""Draw the pan from above and where the test weight is to stand."""

from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from shedstation.domain.scale_check import Place
from shedstation.ui import theme

_SHARES: Final = {
    Place.MIDDLE: (0.5, 0.5),
    Place.FRONT_LEFT: (0.25, 0.75),
    Place.FRONT_RIGHT: (0.75, 0.75),
    Place.BACK_RIGHT: (0.75, 0.25),
    Place.BACK_LEFT: (0.25, 0.25),
}
_FOOT_PX: Final = 26


class PanPicture(QWidget):
    """The pan as the person at the bench sees it, front below."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Start with an empty pan."""
        super().__init__(parent)
        self._place: Place | None = None
        self._front = ""

    def show_place(self, place: Place | None, front: str) -> None:
        """Draw a load at a place, or none; `front` names the near side."""
        if (place, front) != (self._place, self._front):
            self._place, self._front = place, front
            self.update()

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """Give the size that shows it well."""
        return QSize(200, 200)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Draw pan, load and the name of the near side."""
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        side = min(self.width(), self.height() - _FOOT_PX) - 6
        pan = QRectF((self.width() - side) / 2, 3, side, side)
        painter.setPen(QPen(QColor(theme.INK), 4))
        painter.setBrush(QColor(theme.SAND))
        painter.drawRoundedRect(pan, 16, 16)
        self._draw_places(painter, pan)
        self._draw_front(painter, pan)
        painter.end()

    def _draw_places(self, painter: QPainter, pan: QRectF) -> None:
        for place, (across, down) in _SHARES.items():
            centre = QPointF(pan.left() + pan.width() * across, pan.top() + pan.height() * down)
            is_here = place is self._place
            painter.setPen(QPen(QColor(theme.INK if is_here else theme.SOFT), 2))
            painter.setBrush(QColor(theme.BLUE) if is_here else Qt.BrushStyle.NoBrush)
            radius = pan.width() * (0.15 if is_here else 0.04)
            painter.drawEllipse(centre, radius, radius)

    def _draw_front(self, painter: QPainter, pan: QRectF) -> None:
        font = QFont(theme.FAMILY)
        font.setPixelSize(theme.BASE_PX)
        painter.setFont(font)
        painter.setPen(QColor(theme.INK))
        foot = QRectF(0, pan.bottom() + 3, self.width(), _FOOT_PX - 3)
        painter.drawText(foot, Qt.AlignmentFlag.AlignHCenter, self._front)
