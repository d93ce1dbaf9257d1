"""Recognise checks in what is not the weight."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final

from shedstation.devices.learning.aligning import Form, Line, Slot
from shedstation.devices.learning.checks import WIDTHS, is_right
from shedstation.devices.learning.row import CheckPart, How

_MOST_SKIP: Final = 3
_MOST_GAP: Final = 2
_ENOUGH: Final[dict[How, int]] = {"sum-digit": 12, "sum-two-digits": 6}
"""Different frames that must all agree; three are enough for one chance in 128 or 256 each."""

_ENOUGH_OTHERS: Final = 3


@dataclass(frozen=True, slots=True)
class Recognised:
    """Slots that hold a check."""

    first: int
    after: int
    part: CheckPart


def recognised(form: Form, lines: Sequence[Line], taken: Collection[int]) -> Recognised | None:
    """Give the check that is right in every frame; none if there is no such thing."""
    for first in _varying(form, lines, taken):
        for how, width in WIDTHS.items():
            places = range(first, first + width)
            if places.stop > len(form.slots) or any(at in taken for at in places):
                continue
            if all(form.slots[at] is Slot.COLUMN for at in places):
                part = _check(lines, first, how)
                if part is not None:
                    return Recognised(first, places.stop, part)
    return None


def _varying(form: Form, lines: Sequence[Line], taken: Collection[int]) -> Iterator[int]:
    """Give slots that change, and those before them: a check's first digit may stand still by chance."""
    varies = [len({line.slots[at] for line in lines}) > 1 for at in range(len(form.slots))]
    for at in range(len(form.slots)):
        if at not in taken and any(varies[at : at + 2]):
            yield at


def _check(lines: Sequence[Line], first: int, how: How) -> CheckPart | None:
    pieces = [
        (b"".join(line.slots[:first]), b"".join(line.slots[first : first + WIDTHS[how]]))
        for line in lines
    ]
    for skip, gap in product(range(_MOST_SKIP + 1), range(_MOST_GAP + 1)):
        covered = {before[skip : len(before) - gap] for before, _ in pieces}
        if len(covered) < _ENOUGH.get(how, _ENOUGH_OTHERS):
            continue
        if len({sent for _, sent in pieces}) > 1 and all(
            is_right(how, before[skip : len(before) - gap], sent) for before, sent in pieces
        ):
            return CheckPart(how=how, skip=skip, gap=gap)
    return None
