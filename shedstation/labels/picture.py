"""Draw a label as dots of a printer's head."""

import pypdfium2

from shedstation.domain.box import LabelJob
from shedstation.labels.render import POINTS_IN_INCH, render_labels
from shedstation.labels.template import read_template


def picture(job: LabelJob, *, printer_dpi: int) -> tuple[bytes, int, int, float, float]:
    """Give a label as grey pixels row by row, with its width and height in dots and millimetres.

    Raises:
        WorldFault: if its template cannot be read.
    """
    layout = read_template(job.template).layout
    document = pypdfium2.PdfDocument(render_labels([job], printer_dpi=printer_dpi))
    try:
        page = document[0]
        bitmap = page.render(scale=printer_dpi / POINTS_IN_INCH, grayscale=True)
        rows = _rows(bytes(bitmap.buffer), bitmap.stride, bitmap.width, bitmap.height)
        size = (bitmap.width, bitmap.height)
        bitmap.close()
        page.close()
    finally:
        document.close()
    return (rows, *size, layout.width_mm, layout.height_mm)


def _rows(data: bytes, stride: int, width: int, height: int) -> bytes:
    return b"".join(data[row * stride : row * stride + width] for row in range(height))
