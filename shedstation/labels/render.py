"""Draw labels as PDF pages: the same job gives the same bytes, bars on the printer's dot grid."""

import io
from collections.abc import Iterable
from functools import cache
from typing import Final

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from shedstation import resources
from shedstation.domain.box import LabelJob
from shedstation.labels.barcode import QUIET_MODULES, code128_modules, dark_runs, gs1_modules
from shedstation.labels.template import MM, CodeItem, Template, TextItem, read_template

REGULAR: Final = "AtkinsonHyperlegible-Regular"
BOLD: Final = "AtkinsonHyperlegible-Bold"
POINTS_IN_INCH: Final = 72
_BASE_DPI: Final = 203
_READABLE_PT: Final = 7.0


@cache
def register_fonts() -> None:
    """Make the shipped letters known to ReportLab, once."""
    for name in (REGULAR, BOLD):
        pdfmetrics.registerFont(TTFont(name, str(resources.font(name))))


def render_labels(jobs: Iterable[LabelJob], *, printer_dpi: int) -> bytes:
    """Draw one page a label, at the label's own size.

    Args:
        jobs: The labels, with their text frozen.
        printer_dpi: Dots per inch of the head they are for; bars fall on its dots.

    Raises:
        WorldFault: if a template cannot be read.
    """
    register_fonts()
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1)
    canvas.setTitle("Labels")
    templates: dict[str, Template] = {}
    for job in jobs:
        if job.template not in templates:
            templates[job.template] = read_template(job.template).layout
        _draw(canvas, templates[job.template], job, printer_dpi)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _draw(canvas: Canvas, layout: Template, job: LabelJob, printer_dpi: int) -> None:
    height = layout.height_mm * MM
    canvas.setPageSize((layout.width_mm * MM, height))
    for item in layout.text:
        text = job.fields.get(item.field, "")
        if text:
            _draw_text(canvas, item, item.before + text, height)
    for code in layout.code:
        text = job.fields.get(code.field, "")
        if text:
            _draw_code(canvas, code, text, height, printer_dpi)


def _draw_text(canvas: Canvas, item: TextItem, text: str, height: float) -> None:
    font = BOLD if item.bold else REGULAR
    size, width, share = fitted(item, text)
    x = item.x_mm * MM
    if item.align == "right":
        x += item.width_mm * MM - width
    elif item.align == "centre":
        x += (item.width_mm * MM - width) / 2
    y = height - item.y_mm * MM
    if share == 1:
        canvas.setFont(font, size)
        canvas.drawString(x, y, text)
        return
    line = canvas.beginText(x, y)
    line.setFont(font, size)
    line.setHorizScale(100 * share)
    line.textOut(text)
    canvas.drawText(line)


def missing_letters(text: str) -> str:
    """Give the letters of a text that the label's fonts cannot draw, once each."""
    drawn = pdfmetrics.getFont(REGULAR).face.charToGlyph  # type: ignore[attr-defined]  # a TTFont
    return "".join(sorted({letter for letter in text if ord(letter) not in drawn}))


def fitted(item: TextItem, text: str) -> tuple[float, float, float]:
    """Give size and width in points at which a text is printed, and the share of its letters' width."""
    font = BOLD if item.bold else REGULAR
    width = pdfmetrics.stringWidth(text, font, item.size_pt)
    room = item.width_mm * MM
    if width <= room or item.least_pt is None:
        return item.size_pt, width, 1.0
    size = max(item.least_pt, item.size_pt * room / width)
    width *= size / item.size_pt
    share = min(1.0, max(item.narrowest, room / width))
    return size, width * share, share


def modules_of(code: CodeItem, text: str) -> str:
    """Give a code's modules, quiet zones left out."""
    return gs1_modules(text) if code.kind == "gs1-128" else code128_modules(text)


def module_pt(code: CodeItem, printer_dpi: int) -> float:
    """Give the width of a module in points: whole dots of the head, not below the asked width."""
    dots = -(-code.x_dots_203 * printer_dpi // _BASE_DPI)
    return dots * POINTS_IN_INCH / printer_dpi


def symbol_width_mm(code: CodeItem, text: str, printer_dpi: int) -> float:
    """Give a symbol's width in millimetres, quiet zones included."""
    modules = len(modules_of(code, text)) + 2 * QUIET_MODULES
    return modules * module_pt(code, printer_dpi) / MM


def _draw_code(canvas: Canvas, code: CodeItem, text: str, height: float, printer_dpi: int) -> None:
    module = module_pt(code, printer_dpi)
    dot = POINTS_IN_INCH / printer_dpi
    left = round(code.x_mm * MM / dot) * dot + QUIET_MODULES * module
    modules = modules_of(code, text)
    bottom = height - (code.y_mm + code.height_mm) * MM
    path = canvas.beginPath()
    for start, width in dark_runs(modules):
        path.rect(left + start * module, bottom, width * module, code.height_mm * MM)
    canvas.drawPath(path, stroke=0, fill=1)
    canvas.setFont(REGULAR, _READABLE_PT)
    middle = left + len(modules) * module / 2
    canvas.drawCentredString(middle, bottom - _READABLE_PT, text)
