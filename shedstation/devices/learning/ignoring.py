"""Find what says nothing about the weight: counters, clocks, other numbers.

Such places are let vary more than they were seen to, so each must be known for what it is: a code
that stood still by chance must not pass for a counter's digit.
"""

import re
from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import Final

from shedstation.devices.learning.aligning import Form, Line, Slot
from shedstation.devices.learning.row import MOST_DIGITS, AnyPart, Class, NumberPart

_FAST: Final = 4
"""So many texts while one load stood still: it does not depend on the weight."""

_COUNTED: Final = 3
_NEARLY: Final = 0.9
_BOUNDS: Final = frozenset(b",;|\t:=/")
_CLOCK: Final = re.compile(
    rb"(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d|(?<!\d)(?:[01]\d|2[0-3]):[0-5]\d(?!\d)"
)
_DATE: Final = re.compile(
    rb"(?<!\d)(?:\d{4}([\-/.])\d\d\1\d\d|\d\d([\-/.])\d\d\2(?:\d{4}|\d\d))(?!\d)"
)
_DECIMAL: Final = rb"( *[+\-]? *|)(\d{1,8})(%b)(\d{1,4})"
_WHOLE: Final = re.compile(rb"( *[+\-]? *|)(\d{1,9})()()")
_CLASSES: Final[Sequence[tuple[Class, re.Pattern[bytes]]]] = (
    ("digits", re.compile(rb"\d+")),
    ("hex", re.compile(rb"[\dA-Fa-f]+")),
    ("letters", re.compile(rb"[A-Za-z]+")),
    ("word", re.compile(rb"[\dA-Za-z]+")),
    ("printable", re.compile(rb"[ -~]+")),
)


@dataclass(frozen=True, slots=True)
class Ignored:
    """Slots that are read over."""

    first: int
    after: int
    part: AnyPart | NumberPart
    counts: bool = False
    """Whether it is a counter."""


def ignored(
    form: Form, lines: Sequence[Line], taken: Collection[int], point: str, *, is_sign_known: bool
) -> list[Ignored]:
    """Give what is known to say nothing of the weight, outside of slots that are taken.

    Args:
        form: How the lines are laid out.
        lines: Every line of the form, in order.
        taken: Slots whose meaning is known.
        point: The weight's decimal point; other numbers have the same.
        is_sign_known: Whether a weight below zero was shown: else a digit that stood still in front
            of a counter might be the sign.
    """
    found: list[Ignored] = []
    used = set(taken)
    decimal = re.compile(_DECIMAL % re.escape(point or ".").encode())
    for each in _candidates(form, lines, taken, decimal, is_sign_known=is_sign_known):
        places = set(range(each.first, each.after))
        if not places & used:
            found.append(each)
            used |= places
    return found


def _candidates(
    form: Form,
    lines: Sequence[Line],
    taken: Collection[int],
    decimal: re.Pattern[bytes],
    *,
    is_sign_known: bool,
) -> Iterator[Ignored]:
    yield from _times(form, lines)
    if is_sign_known:
        yield from _fields(form, lines, taken, decimal)
    yield from _decimals(form, lines, taken, decimal)
    yield from _chains(form, lines, taken)
    yield from _fast_slots(form, lines)


def _meets(taken: Collection[int], first: int, after: int) -> bool:
    return any(at in taken for at in range(first, after))


def class_of(texts: Sequence[bytes]) -> Class:
    """Give the narrowest class of characters that all texts are in."""
    joined = b"".join(texts)
    return next((name for name, pattern in _CLASSES if pattern.fullmatch(joined)), "any")


def _any(of: Class, texts: Sequence[bytes], more: int = 0) -> AnyPart:
    lengths = {len(text) for text in texts}
    most = max(lengths) + (more if len(lengths) > 1 else 0)
    return AnyPart(of=of, least=1 if len(lengths) > 1 else most, most=most)


def _times(form: Form, lines: Sequence[Line]) -> Iterator[Ignored]:
    """Give the digits of dates and clock times; whatever they are, they go on."""
    for begin, end in _column_runs(form):
        texts = [b"".join(line.slots[begin:end]) for line in lines]
        for pattern in (_CLOCK, _DATE):
            for found in pattern.finditer(texts[0]):
                place = slice(found.start(), found.end())
                if all(pattern.fullmatch(text[place]) for text in texts):
                    yield from _digit_runs(begin + found.start(), found[0])


def _digit_runs(first: int, text: bytes) -> Iterator[Ignored]:
    for run in re.finditer(rb"\d+", text):
        part = AnyPart(of="digits", least=len(run[0]), most=len(run[0]))
        yield Ignored(first + run.start(), first + run.end(), part)


def _column_runs(form: Form) -> Iterator[tuple[int, int]]:
    for is_column, group in groupby(
        range(len(form.slots)), key=lambda at: form.slots[at] is Slot.COLUMN
    ):
        places = list(group)
        if is_column:
            yield places[0], places[-1] + 1


def _fields(
    form: Form, lines: Sequence[Line], taken: Collection[int], decimal: re.Pattern[bytes]
) -> Iterator[Ignored]:
    """Give fields between separators that count or hold a number of their own."""
    fields = list(_bounded(form, lines))
    widths = {after - first for first, after in fields if _meets(taken, first, after)}
    for first, after in fields:
        texts = [b"".join(line.slots[first:after]) for line in lines]
        if _meets(taken, first, after) or len(set(texts)) == 1:
            continue
        if _is_counter(lines, texts):
            yield Ignored(first, after, _any("digits", texts, 2), counts=True)
            continue
        is_like_weight = after - first in widths and after - first >= _FAST
        number = _other_number(texts, decimal)
        if number is None and (is_like_weight or (len(set(texts)) >= _FAST and after - first > 1)):
            number = _other_number(texts, _WHOLE)
        if number is not None:
            # Between separators no code can stand right in front of the number.
            yield Ignored(first, after, number.model_copy(update={"digits": MOST_DIGITS}))


def _is_counter(lines: Sequence[Line], texts: Sequence[bytes]) -> bool:
    longest = max(map(len, texts))
    if not all(text.isdigit() for text in texts) or not 1 < longest <= MOST_DIGITS:
        return False
    return _counts(lines, texts) or _varies(lines, texts)


def _bounded(form: Form, lines: Sequence[Line]) -> Iterator[tuple[int, int]]:
    bounds = [
        at
        for at, slot in enumerate(form.slots)
        if slot is Slot.COLUMN
        and lines[0].slots[at][0] in _BOUNDS
        and len({line.slots[at] for line in lines}) == 1
    ]
    for before, after in pairwise([-1, *bounds, len(form.slots)]):
        if after > before + 1 and bounds:
            yield before + 1, after


def _counts(lines: Sequence[Line], texts: Sequence[bytes]) -> bool:
    """Tell whether numbers follow each other by one step."""
    steps = [
        int(after) - int(before)
        for (one, before), (other, after) in pairwise(zip(lines, texts, strict=True))
        if one.seen.example == other.seen.example
    ]
    if not steps:  # one frame a load: a printed ticket's number
        steps = [int(after) - int(before) for before, after in pairwise(texts)]
    return len(steps) >= _COUNTED - 1 and len(set(steps)) == 1 and steps[0] != 0


def _varies(lines: Sequence[Line], texts: Sequence[bytes]) -> bool:
    """Tell whether many texts came while one load stood still."""
    seen: dict[int, set[bytes]] = {}
    for line, text in zip(lines, texts, strict=True):
        if line.seen.is_steady:
            seen.setdefault(line.seen.example, set()).add(text)
    return max(map(len, seen.values()), default=0) >= _FAST


def _other_number(texts: Sequence[bytes], form: re.Pattern[bytes]) -> NumberPart | None:
    """Describe a number, such as a tare, that is not the weight."""
    found = [form.fullmatch(text) for text in texts]
    whole = [each for each in found if each is not None]
    points = {each[3] for each in whole}
    if len(whole) < len(texts) or len(points) > 1:
        return None
    widths = {len(text) for text in texts}
    is_filled = any(b" " in each[1] for each in whole)
    if is_filled and len(widths) > 1:
        return None
    has_zeros = any(len(each[2]) > 1 and each[2][:1] == b"0" for each in whole)
    most_seen = max(len((each[2] + each[4]).lstrip(b"0")) for each in whole)
    signs = {each[1].strip().decode() for each in whole}
    return NumberPart(
        holds="other",
        least=min(widths),
        most=max(widths),
        fill="before" if is_filled else "none",
        point=points.pop().decode(),  # type: ignore[arg-type]  # the patterns know only these
        digits=min(max(most_seen, 1), MOST_DIGITS) if has_zeros else MOST_DIGITS,
        signs=dict.fromkeys(signs, "plus") if signs != {""} else {},  # type: ignore[arg-type]  # the same
    )


def _decimals(
    form: Form, lines: Sequence[Line], taken: Collection[int], decimal: re.Pattern[bytes]
) -> Iterator[Ignored]:
    """Give numbers with a point that stand in columns of their own."""
    for begin, end in _column_runs(form):
        rows = [b"".join(line.slots[begin:end]) for line in lines]
        for point in range(1, end - begin - 1):
            if all(row[point] in b".," for row in rows):
                first, after = _stretch(rows, point)
                texts = [row[first:after] for row in rows]
                number = _other_number(texts, decimal) if len(set(texts)) > 1 else None
                if number and not _meets(taken, begin + first, begin + after):
                    yield Ignored(begin + first, begin + after, number)


def _stretch(rows: Sequence[bytes], point: int) -> tuple[int, int]:
    first, after = point, point + 1
    while after < len(rows[0]) and all(row[after : after + 1].isdigit() for row in rows):
        after += 1
    while first and all(re.fullmatch(rb" *\d*", row[first - 1 : point]) for row in rows):
        first -= 1
    return first, after


def _chains(form: Form, lines: Sequence[Line], taken: Collection[int]) -> Iterator[Ignored]:
    """Give digits that count: the last one fast, each before it when the one behind it begins anew."""
    for last in range(len(form.slots)):
        if last in taken or not _is_digit(form, lines, last):
            continue
        if not _varies(lines, [line.slots[last] for line in lines]):
            continue
        if last + 1 < len(form.slots) and _carries(form, lines, last, last + 1):
            continue
        first = last
        while first and first - 1 not in taken and _carries(form, lines, first - 1, first):
            first -= 1
        width = last + 1 - first
        part = AnyPart(of="digits", least=width, most=width)
        yield Ignored(first, last + 1, part, counts=_steps(lines, last))


def _is_digit(form: Form, lines: Sequence[Line], at: int) -> bool:
    return form.slots[at] is Slot.COLUMN and all(line.slots[at].isdigit() for line in lines)


def _carries(form: Form, lines: Sequence[Line], at: int, behind: int) -> bool:
    """Tell whether a digit goes on just when the digit behind it falls back."""
    if not (_is_digit(form, lines, at) and _is_digit(form, lines, behind)):
        return False
    near: list[bool] = []
    far: list[bool] = []
    for one, other in pairwise(lines):
        before, after = one.slots, other.slots
        is_near = one.seen.example == other.seen.example
        if after[at] != before[at]:
            (near if is_near else far).append(after[behind] < before[behind])
        elif is_near and after[behind] < before[behind]:
            near.append(False)
    # From one load to the next many frames may have been missed.
    seen = near or far
    return bool(seen) and all(seen)


def _steps(lines: Sequence[Line], at: int) -> bool:
    """Tell whether a digit nearly always goes on by the same step."""
    steps = Counter(
        (int(other.slots[at]) - int(one.slots[at])) % 10
        for one, other in pairwise(lines)
        if one.seen.example == other.seen.example
    )
    return bool(steps) and steps.most_common(1)[0][1] >= _NEARLY * steps.total()


def _fast_slots(form: Form, lines: Sequence[Line]) -> Iterator[Ignored]:
    for at in range(len(form.slots)):
        texts = [line.slots[at] for line in lines]
        if _varies(lines, texts):
            yield Ignored(at, at + 1, _any(class_of(texts), texts, 2))
