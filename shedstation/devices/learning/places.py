"""Find where a number stands: each place that shows, for every load, just what the display showed."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, Literal

from shedstation.devices.learning.aligning import Form, Line, Slot
from shedstation.devices.learning.row import MOST_DIGITS, Sign
from shedstation.domain.mass import Unit

_MOST_DECIMALS: Final = 4
_MOST_WIDTH: Final = 32
_CLEARLY: Final = 10
_NUMBER: Final = re.compile(rb"( *)([+\-]?)( *)(\d*)(?:([.,])(\d{1,6}))?( *)")
_BELONGS: Final = frozenset(b" +-.,0123456789")


@dataclass(frozen=True, slots=True)
class Target:
    """What a number should be in one frame."""

    count: int
    """Without the sign."""

    decimals: int
    unit: Unit
    is_below_zero: bool
    is_zero: bool
    """Whether the whole weight is zero, of which this may be a part."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a number stands and how it is written."""

    first: int
    """Slot it begins with."""

    after: int
    """Slot behind it."""

    point: Literal["", ".", ","]
    decimals: Mapping[Unit, int]
    signs: Mapping[str, Sign]
    """What each sign, or none, was seen to say; empty if signs stand elsewhere."""

    fill: Literal["none", "before", "after"]
    digits: int
    """Most digits seen without leading zeros."""

    last_zeros: int
    """Digits at the end that were always 0."""

    def text(self, slots: Sequence[bytes]) -> bytes:
        """Give what stands there in a frame."""
        return b"".join(slots[self.first : self.after])

    def count(self, slots: Sequence[bytes]) -> int | None:
        """Give the digits there as a number, sign left out; none if there is no number."""
        found = _NUMBER.fullmatch(self.text(slots))
        digits = b"" if found is None else found[4] + (found[6] or b"")
        return int(digits) if digits else None

    def overlaps(self, other: "Place") -> bool:
        """Tell whether two places have a slot in common."""
        return self.first < other.after and other.first < self.after


@dataclass(frozen=True, slots=True)
class Read:
    """A number as it was found in one frame."""

    target: Target
    spaces_before: int
    sign: str
    whole: bytes
    point: str
    part: bytes
    spaces_after: int

    @property
    def digits(self) -> bytes:
        """Get all digits."""
        return self.whole + self.part


def places(form: Form, lines: Sequence[Line], targets: Sequence[Target]) -> list[Place]:
    """Give every place that shows the targets; of places that overlap, the one most like the display.

    Args:
        form: How the lines are laid out.
        lines: Frames.
        targets: What the number is in each of them.
    """
    found = [*_in_columns(form, lines, targets), *_in_numbers(form, lines, targets)]
    shown = max(target.decimals for target in targets)
    best: list[Place] = []
    for place in sorted(found, key=lambda each: _likeness(each, shown)):
        if not any(place.overlaps(other) for other in best):
            best.append(place)
    return sorted(best, key=lambda place: place.first)


def _likeness(place: Place, shown: int) -> tuple[bool, int, int]:
    """Rank places: decimals as shown, then the longer; a shorter one leaves out zeros at its end."""
    as_shown = shown in place.decimals.values()
    return not as_shown, -place.digits, place.first - place.after


def _in_numbers(form: Form, lines: Sequence[Line], targets: Sequence[Target]) -> Iterator[Place]:
    for at, slot in enumerate(form.slots):
        if slot is Slot.NUMBER:
            texts = [line.slots[at] for line in lines]
            place = _place(at, at + 1, texts, targets)
            if place is not None:
                yield place


def _in_columns(form: Form, lines: Sequence[Line], targets: Sequence[Target]) -> Iterator[Place]:
    for begin, end in _runs(form, lines):
        rows = [b"".join(line.slots[begin:end]) for line in lines]
        for after in range(1, end - begin + 1):
            if all(chr(row[after - 1]).isdigit() for row in rows):
                yield from _ending_at(after, begin, rows, targets)
        for first in range(end - begin):
            yield from _beginning_at(first, begin, rows, targets)


def _runs(form: Form, lines: Sequence[Line]) -> Iterator[tuple[int, int]]:
    """Give runs of columns that never hold anything but numbers' characters."""
    begin: int | None = None
    for at, slot in enumerate((*form.slots, Slot.TEXT)):
        belongs = slot is Slot.COLUMN and all(line.slots[at][0] in _BELONGS for line in lines)
        if belongs and begin is None:
            begin = at
        elif not belongs and begin is not None:
            yield begin, at
            begin = None


def _ending_at(
    after: int, begin: int, rows: Sequence[bytes], targets: Sequence[Target]
) -> Iterator[Place]:
    """Give the longest number that ends at a column."""
    longest: Place | None = None
    for first in range(after - 1, max(after - _MOST_WIDTH, 0) - 1, -1):
        texts = [row[first:after] for row in rows]
        place = _place(begin + first, begin + after, texts, targets)
        if place is not None:
            longest = place
    if longest is not None:
        yield longest


def _beginning_at(
    first: int, begin: int, rows: Sequence[bytes], targets: Sequence[Target]
) -> Iterator[Place]:
    """Give a number that begins at a column and is filled up behind."""
    found = [re.match(rb"[+\-]?\d+(?:[.,]\d+)?", row[first:]) for row in rows]
    ends = {first + each.end() for each in found if each is not None}
    if None in found or len(ends) == 1 or max(ends) - first > _MOST_WIDTH:
        return
    after = max(ends)
    while all(row[after : after + 1] == b" " for row in rows):
        after += 1
    place = _place(begin + first, begin + after, [row[first:after] for row in rows], targets)
    if place is not None:
        yield place


def _place(
    first: int, after: int, texts: Sequence[bytes], targets: Sequence[Target]
) -> Place | None:
    reads = []
    for text, target in zip(texts, targets, strict=True):
        read = _read(text, target)
        if read is None:
            return None
        reads.append(read)
    decimals, signs = _decimals(reads), _signs(reads)
    points = {read.point for read in reads}
    fill = _fill(reads)
    if decimals is None or signs is None or len(points) > 1 or fill is None:
        return None
    return Place(
        first=first,
        after=after,
        point=points.pop(),  # type: ignore[arg-type]  # the pattern knows only these
        decimals=decimals,
        signs=signs,
        fill=fill,
        digits=max(len(str(int(read.digits))) for read in reads),
        last_zeros=_last_zeros(reads),
    )


def _read(text: bytes, target: Target) -> Read | None:
    """Read a number if its digits can be those of the target, wherever its point is."""
    found = _NUMBER.fullmatch(text)
    if found is None:
        return None
    before, sign, between, whole, point, part, behind = found.groups(b"")
    digits = whole + part
    if not 0 < len(digits) <= _MOST_WIDTH or (between and not sign):
        return None
    if digits.strip(b"0") != str(target.count).encode().strip(b"0"):
        return None
    spaces = len(before + between)
    return Read(target, spaces, sign.decode(), whole, point.decode(), part, len(behind))


def _decimals(reads: Sequence[Read]) -> Mapping[Unit, int] | None:
    """Find the number of decimals, one for each unit, with which every number is its target."""
    by_unit: dict[Unit, int] = {}
    for unit in {read.target.unit for read in reads}:
        same = [read for read in reads if read.target.unit is unit]
        fitting = [each for each in _tried(same) if all(_is_it(read, each) for read in same)]
        if not fitting:
            return None
        by_unit[unit] = fitting[0]
    return by_unit


def _tried(reads: Sequence[Read]) -> Iterable[int]:
    sent = {len(read.part) for read in reads if read.point}
    if sent:
        return sent if len(sent) == 1 else ()
    shown = max(read.target.decimals for read in reads)
    return sorted(range(_MOST_DECIMALS + 1), key=lambda each: abs(each - shown))


def _is_it(read: Read, decimals: int) -> bool:
    sent, shown = int(read.digits), read.target
    return bool(sent * 10**shown.decimals == shown.count * 10**decimals)


def _signs(reads: Sequence[Read]) -> Mapping[str, Sign] | None:
    """Tell what each sign says; none if it says the wrong thing, nothing if it says none."""
    above = {read.sign for read in reads if not (read.target.is_below_zero or read.target.is_zero)}
    below = {read.sign for read in reads if read.target.is_below_zero}
    zero = {read.sign for read in reads if read.target.is_zero} - above - below
    if "-" in above or "+" in below:
        return None
    if above & below:
        return {} if above | below | zero == {""} else None
    if below and not above:
        return None
    said: dict[str, Sign] = dict.fromkeys(above, "plus")
    return {**said, **dict.fromkeys(below, "minus"), **dict.fromkeys(zero, "zero")}


def _fill(reads: Sequence[Read]) -> Literal["none", "before", "after"] | None:
    before = any(read.spaces_before for read in reads)
    after = any(read.spaces_after for read in reads)
    if before and after:
        return None
    return "before" if before else "after" if after else "none"


def _last_zeros(reads: Sequence[Read]) -> int:
    """Count the digits at the end that were 0 in every number."""
    return min(
        len(read.digits) - len(read.digits.rstrip(b"0")) if int(read.digits) else MOST_DIGITS
        for read in reads
    )


def trimmed(place: Place, moving: Sequence[Line]) -> Place:
    """Cut off columns that only looked like filling: while the pan moves they hold something else."""
    for line in moving:
        if not _is_number(place, line):
            place = next((each for each in _shorter(place) if _is_number(each, line)), place)
    return place


def without_code(place: Place, lines: Sequence[Line]) -> Place:
    """Cut off a leading zero that is a code: when it changes, only the rest goes on as a weight does."""
    width = place.after - place.first - (1 if place.point else 0)
    if width <= max(place.digits, 1):
        return place
    rest = replace(place, first=place.first + 1)
    with_it = without_it = 0
    for one, other in pairwise(lines):
        changes = one.slots[place.first] != other.slots[place.first]
        if changes and one.seen.example == other.seen.example:
            with_it += _step(place, one, other)
            without_it += _step(rest, one, other)
    return without_code(rest, lines) if without_it * _CLEARLY < with_it else place


def _step(place: Place, one: Line, other: Line) -> int:
    before, after = place.count(one.slots), place.count(other.slots)
    return 0 if before is None or after is None else abs(after - before)


def _shorter(place: Place) -> Iterator[Place]:
    for cut in range(1, place.after - place.first):
        if place.fill == "before":
            yield replace(place, first=place.first + cut)
        elif place.fill == "after":
            yield replace(place, after=place.after - cut)


def _is_number(place: Place, line: Line) -> bool:
    return place.first < place.after and place.count(line.slots) is not None
