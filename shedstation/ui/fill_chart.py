"""Draw how the day's boxes were filled: each net against its own target and window."""

import pyqtgraph
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QWidget

from shedstation.domain.limits import Verdict
from shedstation.presenters.fill import FillPicture
from shedstation.ui import theme
from shedstation.ui.plots import dress_axes, still_plot

_LOOKS = {
    Verdict.UNDER: ("t", theme.BLUE),
    Verdict.ON: ("o", theme.GREEN),
    Verdict.OVER: ("t1", theme.RUST),
}
"""Shape and colour of a verdict; its place about the window says the same."""


class FillChart(QWidget):
    """A mark a box in the order of closing; the bar behind it is the window it was packed to."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Start with an empty picture."""
        super().__init__(parent)
        self._plot = still_plot(self)
        dress_axes(self._plot)

    def show_picture(self, picture: FillPicture) -> None:
        """Draw a day; nothing is drawn of one without boxes."""
        self._plot.clear()
        self._plot.setAccessibleName(picture.said)
        if not picture.marks:
            return
        lowest, highest = picture.span
        self._plot.getAxis("bottom").setTicks([[(float(at), text) for at, text in picture.ticks]])
        self._plot.getAxis("left").setLabel(picture.unit, color=theme.INK)
        self._plot.setXRange(-2.0, max(len(picture.marks), 10) - 0.5, padding=0.01)
        self._plot.setYRange(lowest, highest, padding=0.06)
        self._draw_windows(picture)
        self._plot.addItem(pyqtgraph.InfiniteLine(0, angle=0, pen=pyqtgraph.mkPen(theme.INK)))
        for verdict in Verdict:
            self._draw_boxes(picture, verdict)

    def _draw_windows(self, picture: FillPicture) -> None:
        bars = pyqtgraph.BarGraphItem(
            x=list(range(len(picture.marks))), width=0.7,
            y0=[mark.lowest for mark in picture.marks],
            y1=[mark.highest for mark in picture.marks], brush=QColor(theme.LINE), pen=None,
        )  # fmt: skip
        self._plot.addItem(bars)

    def _draw_boxes(self, picture: FillPicture, verdict: Verdict) -> None:
        symbol, colour = _LOOKS[verdict]
        lowest, highest = picture.span
        # A box far from its window stands at the edge.
        places = [n for n, mark in enumerate(picture.marks) if mark.verdict is verdict]
        nets = [min(max(picture.marks[n].net, lowest), highest) for n in places]
        self._plot.addItem(
            pyqtgraph.ScatterPlotItem(
                places, nets, symbol=symbol, size=9, brush=QColor(colour), pen=None
            )
        )
