"""Turn a learned row into a language that the decoder speaks."""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from shedstation.devices.languages.framing import LINES, Block, Ending, Framing
from shedstation.devices.languages.language import Language
from shedstation.devices.learning.checks import CATCH_ALL, WIDTHS
from shedstation.devices.learning.reading_row import RowReader
from shedstation.devices.learning.row import (
    AnyPart,
    CheckPart,
    Class,
    MarkPart,
    NumberPart,
    Part,
    Row,
    TextPart,
)

_DIGITS: Final = (0x30, 0x39)
_CAPITALS: Final = (0x41, 0x5A)
_SMALL: Final = (0x61, 0x7A)
CLASSES: Final[Mapping[Class, Sequence[tuple[int, int]]]] = {
    "digits": (_DIGITS,),
    "hex": (_DIGITS, (0x41, 0x46), (0x61, 0x66)),
    "letters": (_CAPITALS, _SMALL),
    "word": (_DIGITS, _CAPITALS, _SMALL),
    "printable": ((0x20, 0x7E),),
    "any": ((0x00, 0x7F),),
}
"""Bytes of each class, as ranges with both ends."""

STX: Final = 0x02
_ENDINGS: Final[Mapping[str, tuple[Framing, bytes]]] = {
    "line": (LINES, b"\r\n"),
    "etx": (Ending(re.compile(rb"\x03+")), b"\x03"),
}


def as_language(row: Row) -> Language:
    """Make the language of a row that is sound (see `soundness`)."""
    grammar = re.compile(
        b"".join(_pattern(at, part) for at, part in enumerate(row.part)), re.DOTALL
    )
    framing, end = _ENDINGS.get(row.ends, (None, b""))
    sample = row.sample.encode("ascii")
    widths = [widths_of(part) for part in row.part]
    is_fixed = all(least == most for least, most in widths)
    return Language(
        name=row.name,
        is_learned=True,
        grammar=grammar,
        parse=RowReader(row).parse,
        sample=sample + end,
        framing=framing or Block(start=sample[:1], length=len(sample), is_frame=grammar.fullmatch),
        # No tail of a frame is as long as the frame.
        shows_its_start=is_fixed or sample[0] == STX,
        has_check=_has_check(row.part),
    )


def widths_of(part: Part) -> tuple[int, int]:
    """Give how many characters a part takes, at least and at most."""
    match part:
        case TextPart():
            return len(part.text), len(part.text)
        case MarkPart():
            return min(map(len, part.means)), max(map(len, part.means))
        case CheckPart():
            return WIDTHS[part.how], WIDTHS[part.how]
        case NumberPart() | AnyPart():
            return part.least, part.most


def _pattern(at: int, part: Part) -> bytes:
    match part:
        case TextPart():
            return re.escape(part.text.encode("ascii"))
        case MarkPart():
            return _group(at, _one_of(part.means))
        case CheckPart():
            of = _class("hex" if part.how.endswith("hex") else "any")
            return _group(at, b"%b{%d}" % (of, WIDTHS[part.how]))
        case AnyPart():
            return b"%b{%d,%d}" % (_class(part.of), part.least, part.most)
        case NumberPart():
            return _group(at, b"|".join([_number(part), *_escaped(part.instead)]))


def _class(of: Class) -> bytes:
    return b"[%b]" % b"".join(b"\\x%02x-\\x%02x" % ends for ends in CLASSES[of])


def _group(at: int, pattern: bytes) -> bytes:
    return b"(?P<p%d>%b)" % (at, pattern)


def _one_of(texts: Iterable[str]) -> bytes:
    return b"|".join(_escaped(texts))


def _escaped(texts: Iterable[str]) -> list[bytes]:
    longest_first = sorted(texts, key=lambda text: (-len(text), text))
    return [re.escape(text.encode("ascii")) for text in longest_first]


def _number(part: NumberPart) -> bytes:
    """Match a number roughly where its width is fixed; the reader looks at its form."""
    if part.least == part.most:
        return b"[ 0-9+\\-%b]{%d}" % (re.escape(part.point.encode()), part.least)
    sign = b"[+\\-]?" if set(part.signs) - {""} else b""
    point = b"(?:%b\\d{1,6})" % re.escape(part.point.encode()) if part.point else b""
    return b"%b\\d{1,9}%b" % (sign, point)


def _has_check(parts: Sequence[Part]) -> bool:
    """Tell whether every byte is known beforehand, or covered by a check that catches any change."""
    for at, part in enumerate(parts):
        if isinstance(part, CheckPart):
            bare = _always_known(parts, part.skip) and _always_known(parts[:at][::-1], part.gap)
            behind = all(isinstance(each, TextPart) for each in parts[at + 1 :])
            return part.how in CATCH_ALL and bare and behind
    return False


def _always_known(parts: Iterable[Part], count: int) -> bool:
    """Tell whether the first characters are text that never changes."""
    for part in parts:
        if count <= 0:
            break
        if not isinstance(part, TextPart):
            return False
        count -= len(part.text)
    return True
