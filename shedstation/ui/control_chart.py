"""Draw a control chart: points in order, centre and limits, and what lies beyond them marked."""

from collections.abc import Sequence

import pyqtgraph
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QWidget

from shedstation.presenters.control_picture import ControlPicture
from shedstation.ui import theme
from shedstation.ui.plots import dress_axes, still_plot


class ControlChart(QWidget):
    """Round marks lie within the limits; squares lie beyond them."""

    def __init__(self, parent: QWidget | None = None) -> None:
        """Start with an empty picture."""
        super().__init__(parent)
        self._plot = still_plot(self)
        dress_axes(self._plot)

    def show_picture(self, picture: ControlPicture) -> None:
        """Draw a chart; one without points is not there at all."""
        self._plot.clear()
        self.setVisible(bool(picture.points))
        self._plot.setAccessibleName(picture.said)
        if not picture.points:
            return
        self._plot.getAxis("bottom").setTicks([[(float(at), text) for at, text in picture.ticks]])
        self._plot.getAxis("left").setLabel(picture.unit, color=theme.INK)
        # The first day's name stands below the first point and needs room on its left.
        shown = max(len(picture.points), 6)
        self._plot.setXRange(-0.6 - shown / 30, shown - 0.4, padding=0.01)
        self._scale(picture)
        self._draw_limits(picture)
        self._draw_points(picture)

    def _scale(self, picture: ControlPicture) -> None:
        heights = [picture.center, *(point.value for point in picture.points)]
        heights += [point.upper for point in picture.points]
        heights += [point.lower or 0.0 for point in picture.points]
        lowest, highest = min(heights), max(heights)
        self._plot.setYRange(lowest, highest if highest > lowest else lowest + 1.0, padding=0.12)

    def _draw_limits(self, picture: ControlPicture) -> None:
        center = pyqtgraph.InfiniteLine(
            picture.center, angle=0, pen=pyqtgraph.mkPen(theme.GREEN, width=2)
        )
        self._plot.addItem(center)
        self._draw_steps([point.upper for point in picture.points])
        lowest = [point.lower for point in picture.points]
        if any(each is not None for each in lowest):
            self._draw_steps([each or 0.0 for each in lowest])

    def _draw_steps(self, heights: Sequence[float]) -> None:
        """Draw a limit that may be another one for each point."""
        edges = [number - 0.5 for number in range(len(heights) + 1)]
        pen = pyqtgraph.mkPen(theme.RUST, width=2, style=Qt.PenStyle.DashLine)
        self._plot.addItem(pyqtgraph.PlotDataItem(edges, heights, stepMode="center", pen=pen))

    def _draw_points(self, picture: ControlPicture) -> None:
        values = [point.value for point in picture.points]
        line = pyqtgraph.PlotDataItem(
            list(range(len(values))), values, pen=pyqtgraph.mkPen(theme.SOFT, width=1)
        )
        self._plot.addItem(line)
        for is_out, symbol, colour, size in (
            (False, "o", theme.BLUE, 9),
            (True, "s", theme.RUST, 13),
        ):
            places = [at for at, each in enumerate(picture.points) if each.is_out is is_out]
            marks = pyqtgraph.ScatterPlotItem(
                places, [values[at] for at in places], symbol=symbol, size=size,
                brush=QColor(colour), pen=None,
            )  # fmt: skip
            self._plot.addItem(marks)
