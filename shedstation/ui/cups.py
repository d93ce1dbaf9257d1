"""Draw the numbered cups beside the scale, each with its fruit and whether it may be used."""

from typing import Final

from PySide6.QtCore import QPointF, QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from shedstation.presenters.cups import ShownCup
from shedstation.ui import theme

_GAP_PX: Final = 8
_HIGH_PX: Final = 84
_RADIUS_PX: Final = 19


class CupRow(QWidget):
    """The cups in the order of their numbers; the one to use next has a thick blue rim."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Start without cups."""
        super().__init__(parent)
        self._cups: tuple[ShownCup, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.hide()

    def show_cups(self, cups: tuple[ShownCup, ...]) -> None:
        """Draw other cups; without any the row takes no room."""
        if cups != self._cups:
            self._cups = cups
            self.setVisible(bool(cups))
            self.setAccessibleDescription(". ".join(each.said for each in cups))
            self.update()

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """Give the size that shows six cups well."""
        return QSize(700, _HIGH_PX)

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802  # Qt's name
        """Draw every cup."""
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        wide = (self.width() + _GAP_PX) / max(len(self._cups), 1)
        for place, cup in enumerate(self._cups):
            self._draw(painter, QRectF(place * wide, 0, wide - _GAP_PX, self.height()), cup)
        painter.end()

    def _draw(self, painter: QPainter, place: QRectF, cup: ShownCup) -> None:
        rim = QPen(QColor(theme.BLUE), 5) if cup.is_next else QPen(QColor(theme.SOFT), 2)
        painter.setPen(rim)
        painter.setBrush(QColor(theme.WHITE if cup.weight else theme.SAND))
        painter.drawRoundedRect(place.adjusted(3, 3, -3, -3), 12, 12)
        inside = place.adjusted(9, 8, -9, -7)
        upper = QRectF(inside.topLeft(), QSizeF(inside.width(), 2.0 * _RADIUS_PX))
        middle = QPointF(upper.left() + _RADIUS_PX, upper.center().y())
        self._draw_fruit(painter, middle, cup)
        self._write(painter, _around(middle), cup.number, 20)
        self._write(painter, upper.adjusted(2 * _RADIUS_PX, 0, 0, 0), cup.weight, 21)
        lower = inside.adjusted(0, upper.height(), 0, 0)
        self._write(painter, lower, cup.note, 15, bold=cup.is_next)

    def _draw_fruit(self, painter: QPainter, middle: QPointF, cup: ShownCup) -> None:
        """Draw what lies in the cup: a fruit to use, one that is not used, or nothing."""
        style = Qt.PenStyle.SolidLine if cup.is_usable else Qt.PenStyle.DashLine
        painter.setPen(QPen(QColor(theme.INK if cup.weight else theme.SOFT), 2, style))
        painter.setBrush(QColor(theme.AMBER if cup.is_usable else theme.PAPER))
        painter.drawEllipse(middle, _RADIUS_PX, _RADIUS_PX)

    def _write(
        self, painter: QPainter, place: QRectF, text: str, size: int, *, bold: bool = True
    ) -> None:
        font = QFont(theme.FAMILY)
        font.setPixelSize(size)
        font.setBold(bold)
        painter.setFont(font)
        painter.setPen(QColor(theme.INK))
        painter.drawText(place, Qt.AlignmentFlag.AlignCenter, text)


def _around(middle: QPointF) -> QRectF:
    return QRectF(middle, middle).adjusted(-_RADIUS_PX, -_RADIUS_PX, _RADIUS_PX, _RADIUS_PX)
