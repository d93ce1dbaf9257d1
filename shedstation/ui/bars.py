"""Show named amounts as bars: culls by defect, what is given away."""

from collections.abc import Sequence

import pyqtgraph
from PySide6.QtGui import QColor, QFont
from PySide6.QtWidgets import QWidget

from shedstation.ui import theme
from shedstation.ui.plots import still_plot

_MOST_BARS = 12
_LEAST_ROWS = 4


class NamedBars(QWidget):
    """Bars with a name on the left and its figures at the end."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Start with an empty picture."""
        super().__init__(parent)
        self._plot = still_plot(self)
        self._plot.hideAxis("bottom")
        font = QFont(theme.FAMILY)
        font.setPixelSize(16)
        axis = self._plot.getAxis("left")
        axis.setStyle(tickFont=font, tickLength=0)
        axis.setPen(theme.PAPER)
        axis.setTextPen(theme.INK)

    def show_sums(self, sums: Sequence[tuple[str, float, str]], *, room: float = 1.3) -> None:
        """Draw name, number and what to write at the bar's end, from above.

        Args:
            sums: Name, length and text.
            room: Width of the picture in lengths of the longest bar; more for longer texts.
        """
        self._plot.clear()
        self._plot.setAccessibleName("; ".join(f"{name}: {said}" for name, _, said in sums))
        shown = list(reversed(sums[:_MOST_BARS]))
        rows = max(len(shown), _LEAST_ROWS)
        places = list(range(rows - len(shown), rows))
        counts = [count for _, count, _ in shown]
        bars = pyqtgraph.BarGraphItem(
            x0=0, y=places, height=0.62, width=counts, brush=QColor(theme.BLUE), pen=None
        )
        self._plot.addItem(bars)
        self._plot.getAxis("left").setTicks(
            [list(zip(places, [name for name, _, _ in shown], strict=True))]
        )
        most = max(counts, default=1) or 1
        for place, (_, count, said) in zip(places, shown, strict=True):
            self._write(said, count + most * 0.015, place)
        self._plot.setXRange(0, most * room, padding=0)
        self._plot.setYRange(-0.6, rows - 0.4, padding=0)

    def _write(self, said: str, x: float, y: int) -> None:
        label = pyqtgraph.TextItem(said, color=theme.INK, anchor=(0, 0.5))
        font = QFont(theme.FAMILY)
        font.setPixelSize(16)
        label.setFont(font)
        label.setPos(x, y)
        self._plot.addItem(label)
