"""Write the whole record of a day into a folder."""

import json
from collections.abc import Iterator
from pathlib import Path

from shedstation.domain.day import DayRecord, day_json
from shedstation.export.csv_files import csv_bytes
from shedstation.export.files import write_whole
from shedstation.export.page import page_bytes
from shedstation.export.tables import tables
from shedstation.export.workbook import workbook_bytes
from shedstation.words import Words


def write_record(record: DayRecord, out: Path, words: Words) -> tuple[Path, ...]:
    """Write `day.json`, `record.pdf`, `record.xlsx` and a CSV file a table.

    Raises:
        WorldFault: if the folder cannot be written to; each file is whole or not there.
    """
    return tuple(write_steps(record, out, words))


def write_steps(record: DayRecord, out: Path, words: Words) -> Iterator[Path]:
    """Write the record file by file, so that progress can be shown and the work stopped."""
    yield write_whole(out / "day.json", day_bytes(record))
    yield write_whole(out / "record.pdf", page_bytes(record, words))
    yield write_whole(out / "record.xlsx", workbook_bytes(record, words))
    for table in tables(record, words):
        yield write_whole(out / f"{table.name}.csv", csv_bytes(table, words))


def day_bytes(record: DayRecord) -> bytes:
    """Give the day's result as JSON text that people can read and compare line by line."""
    return (json.dumps(day_json(record), indent=1, ensure_ascii=False) + "\n").encode()
