"""Draw a record as PDF pages for buyers."""

import io
from collections.abc import Iterable, Sequence
from itertools import zip_longest
from textwrap import wrap
from typing import Any, Final
from xml.sax.saxutils import escape

from reportlab.graphics.shapes import Drawing, Rect, String
from reportlab.lib.colors import HexColor
from reportlab.lib.pagesizes import letter
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, Paragraph, SimpleDocTemplate, Spacer, TableStyle
from reportlab.platypus import Table as PageTable

from shedstation import resources
from shedstation.domain.culls import shares_of_fruit
from shedstation.domain.day import DayRecord, by_block, by_cultivar, defects, sum_boxes
from shedstation.domain.farm import name_of
from shedstation.export.audits import AuditLine
from shedstation.export.columns import Table, visible
from shedstation.export.csv_files import csv_cell
from shedstation.export.scale_checks import CheckLine
from shedstation.export.tables import tables
from shedstation.words import Words

REGULAR: Final = "AtkinsonHyperlegible-Regular"
BOLD: Final = "AtkinsonHyperlegible-Bold"
GREEN: Final = HexColor("#204E40")
INK: Final = HexColor("#1D2620")
BLUE: Final = HexColor("#1F5A9E")
LINE: Final = HexColor("#CFC8B4")
PAPER: Final = HexColor("#F4EFE2")
_WIDTH: Final = 190 * mm
_BAR_ROOM: Final = 76 * mm
_MOST_IN_CELL: Final = 600
"""Letters of a cell that surely fit a page, whatever its width."""

_TITLE: Final = ParagraphStyle("title", fontName=BOLD, fontSize=20, leading=24, textColor=GREEN)
_HEAD: Final = ParagraphStyle(
    "head", fontName=BOLD, fontSize=13, leading=16, textColor=GREEN, spaceBefore=10, spaceAfter=4
)
_TEXT: Final = ParagraphStyle("text", fontName=REGULAR, fontSize=9.5, leading=12, textColor=INK)
_CELL: Final = ParagraphStyle("cell", parent=_TEXT, fontSize=8, leading=9.6)
_CELL_HEAD: Final = ParagraphStyle(
    "cell_head", parent=_CELL, fontName=BOLD, textColor=HexColor("#FFFFFF")
)
_FINE: Final = ParagraphStyle("fine", parent=_TEXT, fontSize=7, leading=9)

_ON_PAGE: Final = {
    "boxes": ("serial", "time", "lot", "cultivar", "block", "pack", "grade", "gross", "tare", "net",
              "unit", "label_says", "status"),
    "fruit": ("serial", "count", "told_count", "not_sure", "smallest", "largest", "spread", "mean",
              "unit", "size_code", "keeps_size", "keeps_spread"),
    "lots": ("lot", "cultivar", "block", "picked_on", "packed_on", "boxes", "net", "unit"),
    "scale_checks": ("time", "bench", "what", "test_load", "place", "shown", "off", "tolerance",
                     "unit", "result"),
    "audits": ("what", "serial", "days", "gross", "tare", "net_then", "net_now", "unit", "found",
               "limit", "found_unit", "result"),
    "culls": ("entry", "time", "load", "lot", "defect", "count", "weight", "unit", "where"),
}  # fmt: skip
"""Columns that fit a page; the workbook has them all."""

_RELATIVE: Final = {
    "serial": 2.0, "details": 9.0, "why": 6.0, "what": 2.6, "pack": 2.4, "block": 2.3,
    "cultivar": 2.1, "defect": 2.6, "label_says": 1.7, "picked_on": 1.8, "packed_on": 1.8,
    "received_on": 1.8, "asked": 2.0, "code": 2.2, "grade": 1.1, "unit": 0.8, "time": 1.0,
    "lot": 1.3, "line": 0.8, "test_load": 1.5, "place": 2.3, "shown": 0.9, "off": 0.9,
    "audits.what": 3.6, "audits.serial": 1.5, "audits.unit": 1.0, "audits.gross": 0.9,
    "audits.tare": 0.8, "days": 0.8, "net_then": 1.0, "net_now": 1.0, "limit": 1.1, "found_unit": 0.6,
}  # fmt: skip


def page_bytes(record: DayRecord, words: Words) -> bytes:
    """Give the record as a PDF on letter paper; the same record gives the same bytes."""
    for name in (REGULAR, BOLD):
        pdfmetrics.registerFont(TTFont(name, str(resources.font(name))))
    buffer = io.BytesIO()
    document = SimpleDocTemplate(
        buffer,
        pagesize=letter,
        leftMargin=13 * mm,
        rightMargin=13 * mm,
        topMargin=13 * mm,
        bottomMargin=15 * mm,
        invariant=1,
        title=words.text("export.title", day=record.date),
        author=visible(record.setup.farm.name),
    )
    footer = _Footer(record, words)
    document.build(list(_story(record, words)), onFirstPage=footer.draw, onLaterPages=footer.draw)
    return buffer.getvalue()


class _Footer:
    """Writes farm, day and page number at the foot of each page."""

    def __init__(self, record: DayRecord, words: Words) -> None:
        self._left = f"{visible(record.setup.farm.name)}, {record.date.isoformat()}"
        self._words = words

    def draw(self, canvas: Canvas, document: Any) -> None:  # noqa: ANN401  # the library's own type
        canvas.setFont(REGULAR, 8)
        canvas.setFillColor(INK)
        canvas.drawString(13 * mm, 8 * mm, self._left)
        page = self._words.text("export.page", number=document.page)
        canvas.drawRightString(letter[0] - 13 * mm, 8 * mm, page)


def _story(record: DayRecord, words: Words) -> Iterable[Flowable]:
    yield from _top(record, words)
    by_name = {table.name: table for table in tables(record, words)}
    yield from _section("lots", by_name["lots"], words)
    yield from _sums(record, words)
    if record.culls:
        yield Paragraph(words.text("export.table_culls_by_defect"), _HEAD)
        yield _bars(record, words)
        yield Paragraph(_safe(words.text("ui.share_note")), _FINE)
    for name in ("boxes", "fruit", "culls", "loads", "scale_checks", "happenings", "refused"):
        yield from _section(name, by_name.get(name), words)
        if name == "scale_checks":
            yield from _said_below(by_name[name].rows, words, "check.replaces_nothing")
            yield from _audits(by_name.get("audits"), words)
    yield from _chain(record, words)


def _top(record: DayRecord, words: Words) -> Iterable[Flowable]:
    farm = record.setup.farm
    yield Paragraph(_safe(farm.name), _TITLE)
    yield Paragraph(_safe(", ".join((*farm.address, farm.origin))), _TEXT)
    yield Spacer(1, 3 * mm)
    yield Paragraph(_safe(words.text("export.title", day=record.date)), _HEAD)
    everything = sum_boxes(record.standing)
    if everything is not None:
        values = {"boxes": everything.boxes, "net": everything.net}
        yield Paragraph(_safe(words.text("export.total", **values)), _TEXT)
    voided = len(record.boxes) - len(record.standing)
    if voided:
        yield Paragraph(_safe(words.text("export.voided", count=voided)), _TEXT)
    if not record.closed:
        yield Paragraph(_safe(words.text("export.still_open")), _TEXT)


def _section(name: str, table: Table | None, words: Words) -> Iterable[Flowable]:
    if table is None or not table.rows:
        return
    yield Paragraph(_safe(words.text(f"export.table_{name}")), _HEAD)
    yield _page_table(table, words)


def _audits(table: Table | None, words: Words) -> Iterable[Flowable]:
    if table is not None:
        yield from _section("audits", table, words)
        yield from _said_below(table.rows, words)


def _said_below(
    lines: Sequence[CheckLine | AuditLine], words: Words, caution: str | None = None
) -> Iterable[Flowable]:
    """Say below the table what each check or audit was judged by, what failed, and what it is not."""
    for line in lines:
        if line.details:
            yield Spacer(1, 1.5 * mm)
            yield Paragraph(_safe(" ".join(map(words.say, line.details))), _TEXT)
    if lines and caution:
        yield Spacer(1, 1.5 * mm)
        yield Paragraph(_safe(words.text(caution)), _FINE)


def _page_table(table: Table, words: Words) -> PageTable:
    wanted = _ON_PAGE.get(table.name)
    columns = [each for each in table.columns if wanted is None or each.title in wanted]
    head = [Paragraph(_safe(words.text(f"export.column_{c.title}")), _CELL_HEAD) for c in columns]
    body = [cells for row in table.rows for cells in _rows([c.cell(row) for c in columns])]
    shares = [_share(table.name, column.title) for column in columns]
    widths = [_WIDTH * share / sum(shares) for share in shares]
    return _styled([head, *body], widths)


def _share(table: str, title: str) -> float:
    return _RELATIVE.get(f"{table}.{title}", _RELATIVE.get(title, 1.2))


def _rows(cells: Sequence[Any]) -> Iterable[list[Paragraph]]:
    """Give one row of cells, or several where a text is long: a row cannot go over a page's end."""
    parts = [wrap(_said(cell), _MOST_IN_CELL) or [""] for cell in cells]
    for line in zip_longest(*parts, fillvalue=""):
        yield [Paragraph(_safe(text), _CELL) for text in line]


def _said(cell: Any) -> str:  # noqa: ANN401  # any Cell
    return visible(cell) if isinstance(cell, str) else csv_cell(cell)


def _cell(cell: Any) -> Paragraph:  # noqa: ANN401  # any Cell
    return Paragraph(_safe(_said(cell)), _CELL)


def _styled(rows: Sequence[Sequence[Any]], widths: Sequence[float]) -> PageTable:
    look: list[Any] = [
        ("BACKGROUND", (0, 0), (-1, 0), GREEN),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("ROWBACKGROUNDS", (0, 1), (-1, -1), [HexColor("#FFFFFF"), PAPER]),
        ("LINEBELOW", (0, 0), (-1, -1), 0.25, LINE),
        ("LEFTPADDING", (0, 0), (-1, -1), 3),
        ("RIGHTPADDING", (0, 0), (-1, -1), 2),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
    ]
    return PageTable(
        list(map(list, rows)),
        colWidths=list(widths),
        repeatRows=1,
        hAlign="LEFT",
        style=TableStyle(look),
    )


def _sums(record: DayRecord, words: Words) -> Iterable[Flowable]:
    setup = record.setup
    for title, sums, coded in (
        ("cultivar", by_cultivar(record), setup.cultivars),
        ("block", by_block(record), setup.blocks),
    ):
        if sums:
            yield Paragraph(_safe(words.text(f"export.by_{title}")), _HEAD)
            heads = (f"export.column_{title}", "export.column_boxes", "export.column_net")
            head = [Paragraph(_safe(words.text(name)), _CELL_HEAD) for name in heads]
            body = [
                [_cell(name_of(coded, code)), _cell(each.boxes), _cell(str(each.net))]
                for code, each in sums.items()
            ]
            yield _styled([head, *body], [60 * mm, 25 * mm, 35 * mm])


def _bars(record: DayRecord, words: Words) -> Drawing:
    """Draw the culls by defect, longest bar first."""
    sums = defects(record)
    row = 6.2 * mm
    drawing = Drawing(_WIDTH, row * len(sums))
    most = max(each.count for each in sums) or 1
    for place, (each, share) in enumerate(zip(sums, shares_of_fruit(sums), strict=True)):
        bottom = row * (len(sums) - 1 - place) + 1.2 * mm
        name = visible(name_of(record.setup.defects, each.defect))
        length = _BAR_ROOM * each.count / most
        drawing.add(
            String(0, bottom + 1 * mm, name[:34], fontName=REGULAR, fontSize=9, fillColor=INK)
        )
        bar = Rect(48 * mm, bottom, length, row - 2 * mm)
        bar.fillColor, bar.strokeColor = BLUE, None
        drawing.add(bar)
        fruit = words.text("export.fruit", count=each.count) if each.count else ""
        part = words.say(share.say()) if share else ""
        said = ", ".join(text for text in (fruit, str(each.weight or ""), part) if text)
        drawing.add(
            String(
                50 * mm + length, bottom + 1 * mm, said, fontName=BOLD, fontSize=9, fillColor=INK
            )
        )
    return drawing


def _chain(record: DayRecord, words: Words) -> Iterable[Flowable]:
    yield Paragraph(_safe(words.text("export.chain")), _HEAD)
    for bench, head in record.heads.items():
        yield Paragraph(_safe(f"{bench}: {head}"), _FINE)
    yield Spacer(1, 2 * mm)
    yield Paragraph(_safe(words.text("export.caution")), _FINE)


def _safe(text: str) -> str:
    return escape(visible(text))
