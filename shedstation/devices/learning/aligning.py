"""Lay frames over each other: fixed columns, or fields and numbers of changing length."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cached_property
from typing import Final

from shedstation.devices.learning.cutting import NUMBER, Seen, skeleton

_SPLIT: Final = re.compile(b"(" + NUMBER + b")")
_BARE: Final = re.compile(NUMBER)
_SEPARATORS: Final = (b",", b";", b"\t", b"|", b"/", b" ")


class Slot(Enum):
    """What stands at one place of every frame."""

    COLUMN = "one character"
    NUMBER = "a number of changing length"
    TEXT = "text of changing length"


@dataclass(frozen=True)
class Form:
    """How frames are laid over each other."""

    slots: tuple[Slot, ...]
    separator: bytes = b""
    separators_at: frozenset[int] = frozenset()
    """Slots that hold the separator."""

    @cached_property
    def _pattern(self) -> re.Pattern[bytes]:
        other = b"[^%b]" % re.escape(self.separator) if self.separator else b"."
        return re.compile(
            b"".join(self._slot(at, other) for at in range(len(self.slots))), re.DOTALL
        )

    def _slot(self, at: int, other: bytes) -> bytes:
        match self.slots[at]:
            case Slot.NUMBER:
                return b"((?>" + NUMBER + b"))"
            case Slot.TEXT:
                return b"(" + other + b"{1,32})"
            case Slot.COLUMN:
                is_separator = at in self.separators_at
                return b"(%b)" % (re.escape(self.separator) if is_separator else b".")

    def split(self, raw: bytes) -> tuple[bytes, ...] | None:
        """Give what stands in each slot of a frame; none if the frame is not of this form."""
        found = self._pattern.fullmatch(raw)
        return None if found is None else found.groups()

    @property
    def is_fixed(self) -> bool:
        """Get whether every frame has the same length."""
        return all(slot is Slot.COLUMN for slot in self.slots)


@dataclass(frozen=True, slots=True)
class Line:
    """A frame, laid out."""

    seen: Seen
    slots: tuple[bytes, ...]


def forms(frames: Sequence[Seen], weighed: Sequence[Seen]) -> list[Form]:
    """Give the forms that all the weighed frames have, those that fit the most frames first."""
    alike = _alike(frames, weighed)
    found = [form for form in _possible(weighed, alike) if _fits_all(form, weighed)]
    return sorted(dict.fromkeys(found), key=lambda form: -_fitting(form, frames))


def lines(form: Form, frames: Iterable[Seen]) -> Iterator[Line]:
    """Lay out those frames that have the form."""
    for seen in frames:
        slots = form.split(seen.raw)
        if slots is not None:
            yield Line(seen, slots)


def _fits_all(form: Form, weighed: Sequence[Seen]) -> bool:
    return all(form.split(seen.raw) is not None for seen in weighed)


def _fitting(form: Form, frames: Sequence[Seen]) -> int:
    return sum(form.split(seen.raw) is not None for seen in frames)


def _alike(frames: Sequence[Seen], weighed: Sequence[Seen]) -> list[bytes]:
    """Give the frames that differ from the weighed ones in letters and numbers only."""
    known = {skeleton(seen.raw) for seen in weighed}
    return [seen.raw for seen in frames if skeleton(seen.raw) in known]


def _possible(weighed: Sequence[Seen], alike: Sequence[bytes]) -> Iterator[Form]:
    lengths = {len(seen.raw) for seen in weighed}
    if len(lengths) == 1:
        yield Form((Slot.COLUMN,) * lengths.pop())
    whole = _field(alike)
    if whole is not None:
        yield Form(whole)
    for separator in _SEPARATORS:
        form = _separated(alike, separator)
        if form is not None:
            yield form
    if len(lengths) > 1:
        yield from _around_one_number(weighed)


def _around_one_number(weighed: Sequence[Seen]) -> Iterator[Form]:
    """Give columns counted from the start and from the end, around one number of changing length."""
    rows = [seen.raw for seen in weighed]
    for before in range(min(map(len, rows))):
        if any(row[before - 1 : before].isdigit() for row in rows):
            continue
        numbers = [_BARE.match(row, before) for row in rows]
        behind = {
            len(row) - number.end() for row, number in zip(rows, numbers, strict=True) if number
        }
        if None not in numbers and len(behind) == 1:
            columns = (Slot.COLUMN,) * before, (Slot.COLUMN,) * behind.pop()
            yield Form((*columns[0], Slot.NUMBER, *columns[1]))


def _separated(alike: Sequence[bytes], separator: bytes) -> Form | None:
    rows = [raw.split(separator) for raw in alike]
    if not rows or len({len(row) for row in rows}) > 1 or len(rows[0]) == 1:
        return None
    slots: list[Slot] = []
    places: list[int] = []
    for at, field in enumerate(zip(*rows, strict=True)):
        if at:
            places.append(len(slots))
            slots.append(Slot.COLUMN)
        if not any(field):
            continue
        slots += _field(field) or (Slot.TEXT,)
    return Form(tuple(slots), separator, frozenset(places))


def _field(texts: Sequence[bytes]) -> tuple[Slot, ...] | None:
    """Find columns or numbers in a field; none if its parts do not stand over each other."""
    if not texts:
        return None
    if len({len(text) for text in texts}) == 1:
        return (Slot.COLUMN,) * len(texts[0])
    rows = [_SPLIT.split(text) for text in texts]
    if len({len(row) for row in rows}) > 1:
        return None
    slots: list[Slot] = []
    for at, pieces in enumerate(zip(*rows, strict=True)):
        lengths = {len(piece) for piece in pieces}
        if len(lengths) == 1:
            slots += [Slot.COLUMN] * lengths.pop()
        elif at % 2:
            slots.append(Slot.NUMBER)
        else:
            return None
    return tuple(slots)
