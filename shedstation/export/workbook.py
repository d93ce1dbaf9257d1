"""Write a record as a workbook: one sheet a table, real numbers and dates, no formulas."""

import io
from collections.abc import Mapping
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any, Final

import xlsxwriter

from shedstation.domain.day import DayRecord
from shedstation.export.columns import Cell, Table, visible
from shedstation.export.tables import tables
from shedstation.words import Words

_WIDEST: Final = 60
_NARROWEST: Final = 8
_MOST_TEXT: Final = 32_000
_PLAIN: Final = {
    "in_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}


def workbook_bytes(record: DayRecord, words: Words) -> bytes:
    """Give the workbook; the same record gives the same bytes."""
    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer, _PLAIN)
    # The day stands in for the clock, so that equal records are equal files.
    book.set_properties({"created": datetime.combine(record.date, time())})
    look: dict[str | int, Any] = {
        "head": book.add_format({"bold": True, "bg_color": "#204E40", "font_color": "#FFFFFF"}),
        "date": book.add_format({"num_format": "yyyy-mm-dd"}),
        **{places: book.add_format({"num_format": f"0.{'0' * places}"}) for places in range(1, 7)},
    }
    for table in tables(record, words):
        sheet = book.add_worksheet(words.text(f"export.table_{table.name}")[:31])
        _write(sheet, table, look, words)
    book.close()
    return buffer.getvalue()


def _write(sheet: Any, table: Table, look: Mapping[str | int, Any], words: Words) -> None:  # noqa: ANN401  # the library has no types
    titles = [words.text(f"export.column_{column.title}") for column in table.columns]
    widths = [len(title) for title in titles]
    sheet.write_row(0, 0, titles, look["head"])
    sheet.freeze_panes(1, 0)
    for number, row in enumerate(table.cells(), start=1):
        for place, cell in enumerate(row):
            _write_cell(sheet, number, place, cell, look)
            widths[place] = max(widths[place], len(str(cell or "")))
    for place, width in enumerate(widths):
        sheet.set_column(place, place, min(max(width + 2, _NARROWEST), _WIDEST))


def _write_cell(
    sheet: Any,  # noqa: ANN401  # the library has no types
    row: int,
    place: int,
    cell: Cell,
    look: Mapping[str | int, Any],
) -> None:
    if cell is None:
        return
    if isinstance(cell, Decimal):
        sheet.write_number(row, place, cell, look.get(-int(cell.as_tuple().exponent)))
    elif isinstance(cell, date):
        sheet.write_datetime(row, place, datetime.combine(cell, time()), look["date"])
    elif isinstance(cell, int):
        sheet.write_number(row, place, cell)
    else:
        sheet.write_string(row, place, visible(cell)[:_MOST_TEXT])
