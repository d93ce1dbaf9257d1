"""Make lot codes and box serials."""

import re
from dataclasses import dataclass
from datetime import date
from typing import Final

MOST_LOTS_A_DAY: Final = 99
_SERIAL: Final = re.compile(r"([A-Z][A-Z0-9]{0,3})-(\d{6,9})(?:/([1-9]\d?))?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Lot:
    """Fruit of one pack date, block, cultivar and picked-on date."""

    code: str
    packed_on: date
    block: str
    cultivar: str
    picked_on: date


def lot_code(packed_on: date, order: int) -> str:
    """Give the six digits: last digit of the year, day of the year, order in the day from 1.

    Raises:
        ValueError: if there are more lots in the day than two digits can count.
    """
    if not 1 <= order <= MOST_LOTS_A_DAY:
        msg = f"Cannot number lot {order} of {packed_on}: expected 1 to {MOST_LOTS_A_DAY}."
        raise ValueError(msg)
    return f"{packed_on.year % 10}{packed_on.timetuple().tm_yday:03d}{order:02d}"


def serial(bench: str, number: int) -> str:
    """Give a box's serial, for example `B1-000123`."""
    return f"{bench}-{number:06d}"


def label_code(box_serial: str, revision: int) -> str:
    """Give what a label's code says: the serial, and `/2` and so on once the label was replaced."""
    return box_serial if revision == 1 else f"{box_serial}/{revision}"


def parse_label_code(text: str) -> tuple[str, int]:
    """Read a scanned or typed code into a serial and the label's revision.

    Raises:
        ValueError: if it is not a serial.
    """
    found = _SERIAL.fullmatch(text.strip().upper())
    if not found:
        msg = f"{text!r} is not a serial: expected bench name, dash and number, such as B1-000123."
        raise ValueError(msg)
    bench, number, revision = found.groups()
    return f"{bench}-{number}", int(revision or 1)
