"""Find what makes a row no language: the checks that go across its parts."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from shedstation.devices.languages.framing import MOST_FRAME_BYTES
from shedstation.devices.languages.reading import read_frame
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.devices.learning.compiling import CLASSES, as_language, widths_of
from shedstation.devices.learning.row import (
    AnyPart,
    CheckPart,
    MarkPart,
    NumberPart,
    Part,
    Row,
    TextPart,
)
from shedstation.domain.mass import Unit, parse_mass
from shedstation.domain.message import Message
from shedstation.domain.reading import Reading

_SEVEN_BITS: Final = frozenset(range(0x80))
_UNITS: Final = frozenset(unit.value for unit in Unit)


def unsound(row: Row) -> list[Message]:
    """Give everything that is wrong with a row, each with what was expected; nothing if it is sound."""
    wrong = [*_whole(row), *_weights(row), *_units(row)]
    for at, part in enumerate(row.part, start=1):
        wrong += [
            Message("teach.file_part", {"part": at, "expected": Message(name)})
            for name in _part(row, part)
        ]
    wrong += _neighbours(row.part)
    return wrong or _sample(row)


def _whole(row: Row) -> Iterator[Message]:
    if row.name in {each.name for each in LANGUAGES}:
        yield Message("teach.file_name_taken", {"name": row.name})
    if row.most is not None and not _is_mass(row.most):
        yield Message("teach.file_most", {"found": row.most})
    if sum(widths_of(part)[1] for part in row.part) > MOST_FRAME_BYTES:
        yield Message("teach.file_too_long", {"most": MOST_FRAME_BYTES})
    is_fixed = all(least == most for least, most in map(widths_of, row.part))
    if row.ends == "block" and not (is_fixed and isinstance(row.part[0], TextPart)):
        yield Message("teach.file_block")


def _is_mass(text: str) -> bool:
    try:
        return parse_mass(text).count > 0
    except ValueError:
        return False


def _weights(row: Row) -> Iterator[Message]:
    holds = [part.holds for part in row.numbers() if part.holds not in {"same", "other"}]
    if holds not in (["weight"], ["pounds", "ounces"]):
        yield Message("teach.file_weight")
    checks = [at for at, part in enumerate(row.part) if isinstance(part, CheckPart)]
    numbers = [
        at
        for at, part in enumerate(row.part)
        if isinstance(part, NumberPart) and part.holds != "other"
    ]
    if len(checks) > 1 or (checks and numbers and checks[0] < numbers[-1]):
        yield Message("teach.file_check")


def _units(row: Row) -> Iterator[Message]:
    """Every unit that is said must have its decimals, and it is said in one way only."""
    marked = {
        word for mark in row.marks() for said in mark.means.values() for word in said
    } & _UNITS
    said = marked | ({row.unit} if row.unit else set())
    known = [set(part.decimals) for part in row.numbers() if part.holds in {"weight", "ounces"}]
    if not said or (marked and row.unit) or any(said - each for each in known):
        yield Message("teach.file_unit")


def _part(row: Row, part: Part) -> Iterator[str]:
    least, most = widths_of(part)
    if least > most:
        yield "teach.expect_width"
    if isinstance(part, NumberPart):
        yield from _number(part)
    if isinstance(part, MarkPart):
        for said in part.means.values():
            if len(_UNITS & set(said)) > 1 or {"plus", "minus"} <= set(said):
                yield "teach.expect_one_meaning"
    texts = [part.text] if isinstance(part, TextPart) else []
    texts += [*part.means] if isinstance(part, MarkPart) else []
    if row.ends != "block" and any(set(text) & _ends(row) for text in texts):
        yield "teach.expect_no_end"


def _ends(row: Row) -> set[str]:
    return {"\r", "\n"} if row.ends == "line" else {"\x03"}


def _number(part: NumberPart) -> Iterator[str]:
    is_fixed = part.least == part.most
    if (part.fill != "none" and not is_fixed) or (part.holds != "other" and not part.decimals):
        yield "teach.expect_number"
    if part.holds == "pounds" and part.point:
        yield "teach.expect_number"
    if any(not part.least <= len(text) <= part.most for text in part.instead):
        yield "teach.expect_width"


def _neighbours(parts: Sequence[Part]) -> Iterator[Message]:
    """Where a part's width changes, the character behind it must not be one of its own."""
    for at, (part, follower) in enumerate(pairwise(parts), start=1):
        least, most = widths_of(part)
        if least < most and _goes_on(part) & _begins(follower):
            expected = Message("teach.expect_other_character")
            yield Message("teach.file_part", {"part": at + 1, "expected": expected})


def _goes_on(part: Part) -> frozenset[int]:
    match part:
        case NumberPart():
            texts = "".join(part.instead)
            return frozenset(b"0123456789" + part.point.encode() + texts.encode("latin-1"))
        case MarkPart():
            return frozenset("".join(part.means).encode("latin-1"))
        case AnyPart():
            return _in_class(part)
        case _:
            return frozenset()


def _begins(part: Part) -> frozenset[int]:
    match part:
        case TextPart():
            return frozenset(part.text[:1].encode("latin-1"))
        case MarkPart():
            return frozenset(text[0].encode("latin-1")[0] for text in part.means)
        case NumberPart():
            texts = [text[:1] for text in part.instead]
            return frozenset(b" +-0123456789" + (part.point + "".join(texts)).encode("latin-1"))
        case AnyPart():
            return _in_class(part)
        case CheckPart():
            return frozenset(b"0123456789ABCDEFabcdef") if part.how.endswith("hex") else _SEVEN_BITS


def _in_class(part: AnyPart) -> frozenset[int]:
    ranges = CLASSES[part.of]
    return frozenset(byte for byte in _SEVEN_BITS if _is_in(byte, ranges))


def _is_in(byte: int, ranges: Sequence[tuple[int, int]]) -> bool:
    return any(first <= byte <= last for first, last in ranges)


def _sample(row: Row) -> list[Message]:
    """A row must read its own sample as it says."""
    spoken = as_language(row)
    found = read_frame(spoken, 0.0, row.sample.encode("ascii"))
    if isinstance(found, Reading) and str(found.mass) == row.reads:
        return []
    return [Message("teach.file_sample", {"sample": row.sample, "reads": row.reads})]
