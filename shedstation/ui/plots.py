"""Make pictures that stand still: no mouse moves them, no menu hides in them."""

from typing import Final

import pyqtgraph
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QVBoxLayout, QWidget

from shedstation.ui import theme

_LETTERS_PX: Final = 15


def still_plot(widget: QWidget) -> pyqtgraph.PlotWidget:
    """Fill a widget with an empty picture."""
    plot = pyqtgraph.PlotWidget(background=theme.PAPER)
    plot.setMouseEnabled(x=False, y=False)
    plot.setMenuEnabled(False)
    plot.hideButtons()
    layout = QVBoxLayout(widget)
    layout.setContentsMargins(0, 0, 0, 0)
    layout.addWidget(plot)
    return plot


def dress_axes(plot: pyqtgraph.PlotWidget) -> None:
    """Write figures along the left and the bottom, in the unit they have."""
    font = QFont(theme.FAMILY)
    font.setPixelSize(_LETTERS_PX)
    for side in ("left", "bottom"):
        axis = plot.getAxis(side)
        axis.setStyle(tickFont=font)
        axis.setPen(theme.SOFT)
        axis.setTextPen(theme.INK)
        axis.enableAutoSIPrefix(enable=False)
