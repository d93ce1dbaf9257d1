"""Write a record's tables as CSV files that a spreadsheet cannot be made to run."""

import csv
import io
from decimal import Decimal
from typing import Final

from shedstation.export.columns import Cell, Table, visible
from shedstation.words import Words

_TRIGGERS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
"""What makes a spreadsheet take text for a formula (CWE-1236), full-width twins included."""


def csv_bytes(table: Table, words: Words) -> bytes:
    """Give a table as UTF-8 with byte order mark; numbers are numbers, dates ISO."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([words.text(f"export.column_{column.title}") for column in table.columns])
    for row in table.cells():
        writer.writerow([csv_cell(cell) for cell in row])
    return text.getvalue().encode("utf-8-sig")


def csv_cell(cell: Cell) -> str:
    """Give a cell's text; text that a spreadsheet would run gets an apostrophe in front."""
    if cell is None:
        return ""
    if isinstance(cell, Decimal):
        return f"{cell:f}"
    if isinstance(cell, str):
        shown = visible(cell)
        return f"'{shown}" if shown.lstrip(" ").startswith(_TRIGGERS) else shown
    return str(cell)
