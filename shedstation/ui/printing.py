"""Print labels on the system's printer, dot for dot."""

from collections.abc import Callable

from PySide6.QtCore import QRectF, QSizeF
from PySide6.QtGui import QImage, QPageSize, QPainter
from PySide6.QtPrintSupport import QPrinter, QPrinterInfo

from shedstation.domain.box import LabelJob
from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message

Picture = tuple[bytes, int, int, float, float]
"""Grey pixels row by row, width and height in dots, width and height in millimetres."""


class PrinterSpool:
    """Hands labels to a printer that the system knows."""

    def __init__(self, printer: str, dpi: int, picture: Callable[[LabelJob], Picture]) -> None:
        """Print on a printer.

        Args:
            printer: The system's name for it.
            dpi: Dots per inch of its head.
            picture: Draws a label at that head's dots.
        """
        self._printer = printer
        self._dpi = dpi
        self._picture = picture

    def hand_over(self, job: LabelJob) -> None:
        """Print the label.

        Raises:
            WorldFault: if the printer does not take it.
        """
        # A printer that is gone would be replaced by a file nobody looks for.
        if QPrinterInfo.printerInfo(self._printer).isNull():
            raise self._fault()
        grey, width, height, width_mm, height_mm = self._picture(job)
        image = QImage(grey, width, height, width, QImage.Format.Format_Grayscale8)
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setPrinterName(self._printer)
        printer.setResolution(self._dpi)
        printer.setFullPage(True)
        printer.setPageSize(QPageSize(QSizeF(width_mm, height_mm), QPageSize.Unit.Millimeter))
        printer.setDocName(job.job)
        painter = QPainter()
        if not printer.isValid() or not painter.begin(printer):
            raise self._fault()
        painter.drawImage(QRectF(0, 0, width, height), image)
        if not painter.end():
            raise self._fault()

    def _fault(self) -> WorldFault:
        return WorldFault(Message("labels.no_printer", {"printer": self._printer}))
