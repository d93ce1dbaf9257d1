"""Draw the crate from above with its fruit, and the ruler with the target window."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from shedstation.presenters.bench import Gauge
from shedstation.presenters.crate_discs import Disc, crate_discs
from shedstation.ui import theme

_RULER_PX = 92
_HANDLE_PX = 16
_WALL_PX = 5


class CrateGauge(QWidget):
    """The crate as the gauge: every fruit that was told as a disc, else how much fruit there is."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Start without a crate."""
        super().__init__(parent)
        self._gauge: Gauge | None = None
        self._tone = "wait"

    def show_gauge(self, gauge: Gauge | None, tone: str) -> None:
        """Draw another filling."""
        if (gauge, tone) != (self._gauge, self._tone):
            self._gauge, self._tone = gauge, tone
            self.update()

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """Give the size that shows it well."""
        return QSize(700, 480)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Draw crate and ruler."""
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        crate = QRectF(_HANDLE_PX, 6, self.width() - 2 * _HANDLE_PX, self.height() - _RULER_PX - 12)
        self._draw_crate(painter, crate)
        if self._gauge is not None:
            self._draw_filling(painter, crate, self._gauge)
            self._draw_ruler(painter, crate, self._gauge)
        painter.end()

    def _draw_crate(self, painter: QPainter, crate: QRectF) -> None:
        painter.setPen(QPen(QColor(theme.INK), _WALL_PX))
        painter.setBrush(QColor(theme.SAND))
        painter.drawRoundedRect(crate, 14, 14)
        painter.setBrush(QColor(theme.WHITE))
        painter.setPen(QPen(QColor(theme.INK), 3))
        for left in (crate.left() - _HANDLE_PX / 2, crate.right() - _HANDLE_PX / 2):
            painter.drawRoundedRect(QRectF(left, crate.center().y() - 46, _HANDLE_PX, 92), 7, 7)

    def _draw_filling(self, painter: QPainter, crate: QRectF, gauge: Gauge) -> None:
        inside = crate.adjusted(10, 10, -10, -10)
        if not gauge.fruit:
            self._draw_level(painter, inside, gauge)
        # Slats, so that an empty crate still looks like one.
        painter.setPen(QPen(QColor(theme.LINE), 1.5))
        for number in range(1, 4):
            y = inside.top() + inside.height() * number / 4
            painter.drawLine(QPointF(inside.left(), y), QPointF(inside.right(), y))
        painter.setPen(QPen(QColor(theme.INK), 2, Qt.PenStyle.DashLine))
        for share in (gauge.lowest, gauge.highest):
            x = inside.left() + inside.width() * share
            painter.drawLine(QPointF(x, inside.top()), QPointF(x, inside.bottom()))
        discs = crate_discs(
            gauge.fruit, gauge.full, inside.width() * gauge.target.at, inside.height()
        )
        for disc in discs:
            self._draw_disc(painter, inside.topLeft(), disc)

    def _draw_level(self, painter: QPainter, inside: QRectF, gauge: Gauge) -> None:
        filled = QRectF(inside)
        filled.setWidth(inside.width() * gauge.filled)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(theme.AMBER))
        painter.drawRoundedRect(filled, 8, 8)

    def _draw_disc(self, painter: QPainter, corner: QPointF, disc: Disc) -> None:
        style = Qt.PenStyle.DashLine if disc.text else Qt.PenStyle.SolidLine
        painter.setPen(QPen(QColor(theme.INK), 2.5, style))
        painter.setBrush(QColor(theme.AMBER))
        middle = corner + QPointF(disc.x, disc.y)
        painter.drawEllipse(middle, disc.radius, disc.radius)
        if disc.text:
            font = QFont(theme.FAMILY)
            font.setPixelSize(max(int(disc.radius), 17))
            font.setBold(True)
            painter.setFont(font)
            r = disc.radius
            place = QRectF(middle.x() - r, middle.y() - r, 2 * r, 2 * r)
            painter.drawText(place, Qt.AlignmentFlag.AlignCenter, disc.text)

    def _draw_ruler(self, painter: QPainter, crate: QRectF, gauge: Gauge) -> None:
        bar = QRectF(crate.left() + 10, crate.bottom() + 34, crate.width() - 20, 30)
        painter.setPen(QPen(QColor(theme.INK), 2))
        painter.setBrush(QColor(theme.WHITE))
        painter.drawRect(bar)
        filled = QRectF(bar)
        filled.setWidth(bar.width() * gauge.filled)
        painter.fillRect(filled, QColor(theme.TONES[self._tone]))
        left = bar.left() + bar.width() * gauge.lowest
        width = max(bar.width() * (gauge.highest - gauge.lowest), 5)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(theme.INK), 4))
        painter.drawRect(QRectF(left, bar.top() - 9, width, bar.height() + 18))
        self._draw_numbers(painter, bar, gauge)

    def _draw_numbers(self, painter: QPainter, bar: QRectF, gauge: Gauge) -> None:
        font = QFont(theme.FAMILY)
        font.setPixelSize(17)
        painter.setFont(font)
        painter.setPen(QColor(theme.INK))
        for tick in gauge.ticks:
            x = bar.left() + bar.width() * tick.at
            painter.drawLine(QPointF(x, bar.bottom()), QPointF(x, bar.bottom() + 7))
            place = QRectF(x - 40, bar.bottom() + 8, 80, 22)
            painter.drawText(place, Qt.AlignmentFlag.AlignHCenter, tick.text)
        font.setBold(True)
        painter.setFont(font)
        x = bar.left() + bar.width() * gauge.target.at
        place = QRectF(x - 80, bar.top() - 32, 160, 22)
        painter.drawText(place, Qt.AlignmentFlag.AlignHCenter, gauge.target.text)
