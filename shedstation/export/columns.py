"""Say what a table of the record is: columns with titles and cells, codes said by their names."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Final
from zoneinfo import ZoneInfo

from shedstation.domain.day import DayRecord
from shedstation.domain.farm import name_of
from shedstation.domain.mass import Mass
from shedstation.domain.price import Money
from shedstation.words import Words

Cell = str | int | Decimal | date | None
"""What a cell holds; numbers are exact decimals without their unit."""

_CONTROL: Final = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ufffe\uffff]")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: the name of its title in the words, and its cell."""

    title: str
    cell: Callable[[Any], Cell]


@dataclass(frozen=True, slots=True)
class Table:
    """A titled table of the record."""

    name: str
    columns: tuple[Column, ...]
    rows: tuple[Any, ...]

    def cells(self) -> Iterable[list[Cell]]:
        """Give the cells row by row."""
        return ([column.cell(row) for column in self.columns] for row in self.rows)


def number(mass: Mass | None) -> Decimal | None:
    """Give a mass's number of units (ounces on a pounds-and-ounces scale), all decimals kept."""
    return None if mass is None else Decimal(mass.count).scaleb(-mass.decimals)


def money(worth: Money | None) -> Decimal | None:
    """Give an amount without its currency, all decimals kept."""
    return None if worth is None else Decimal(worth.count).scaleb(-worth.decimals)


def unit(mass: Mass | None) -> str | None:
    """Give a mass's unit; a pounds-and-ounces mass is counted in ounces."""
    return None if mass is None else mass.unit.value.replace("lb-oz", "oz")


def visible(text: str) -> str:
    """Give text with control characters made visible, so that no file is broken by them."""
    return _CONTROL.sub(lambda found: f"\\x{ord(found.group()):02x}", text)


class Naming:
    """Says codes by their names, and times in the farm's zone."""

    def __init__(self, record: DayRecord, words: Words) -> None:
        """Take names and zone from the record's setup."""
        self.say = words.text
        self._setup = record.setup
        self._zone = ZoneInfo(record.setup.farm.time_zone)

    def cultivar(self, code: str) -> str:
        """Name a cultivar."""
        return name_of(self._setup.cultivars, code)

    def block(self, code: str) -> str:
        """Name a block."""
        return name_of(self._setup.blocks, code)

    def defect(self, code: str) -> str:
        """Name a defect."""
        return name_of(self._setup.defects, code)

    def person(self, code: str | None) -> str | None:
        """Name a person."""
        return None if code is None else name_of(self._setup.people, code)

    def clock(self, at: str) -> str:
        """Give the local time of a UTC moment, hours and minutes."""
        moment = datetime.fromisoformat(at)
        return moment.astimezone(self._zone).strftime("%H:%M")
