"""Cut what was caught into frames, in each way it could be cut."""

import re
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal

from shedstation.devices.languages.bits import DAMAGED, Bits, fitting_bits, without_top_bit
from shedstation.devices.languages.framing import MOST_FRAME_BYTES
from shedstation.devices.learning.compiling import STX
from shedstation.devices.learning.lesson import Example, Lesson, bytes_of

Ends = Literal["line", "etx", "block"]

_MOST_STEADY: Final = 8_000
_MOST_BEFORE: Final = 16_000
_MOST_STEADY_FRAMES: Final = 60
_MOST_BEFORE_FRAMES: Final = 300
_LEAST_BLOCK: Final = 4
_MOSTLY: Final = 0.9
_TURNS: Final = 5
"""So many different lines may take turns."""

_USUAL: Final = 0.8
"""Share of a steady load's frames that must be alike for the others to be damaged ones."""

NUMBER: Final = rb"[+\-]?\d{1,9}(?:[.,]\d{1,6})?"
_NUMBERS: Final = re.compile(NUMBER)
_LETTERS: Final = re.compile(rb"[A-Za-z]")
_WORDS: Final = re.compile(rb"[A-Za-z0-9]+")

Pieces = Iterator[tuple[int, bytes]]
"""Frames, each with the place where it begins."""


@dataclass(frozen=True, slots=True)
class Seen:
    """One frame of a lesson."""

    raw: bytes
    example: int
    is_steady: bool


@dataclass(frozen=True, slots=True)
class Heard:
    """A lesson cut into frames in one way."""

    bits: Bits
    ends: Ends
    frames: tuple[Seen, ...]
    damaged: int
    """How many frames are left out: a byte's top bit was wrong, or they are unlike all others."""


def heard_ways(lesson: Lesson) -> Iterator[Heard]:
    """Give each way to cut a lesson in which every load has at least one frame, likeliest first."""
    every = b"".join(_before(each) + _steady(each) for each in lesson.examples)
    for bits in fitting_bits(every):
        plain = without_top_bit(every, bits)
        for ends, cut in _ways(plain):
            heard = _heard(lesson, bits, ends, cut)
            if {seen.example for seen in heard.frames if seen.is_steady} == set(
                range(len(lesson.examples))
            ):
                yield heard


def _before(example: Example) -> bytes:
    return bytes_of(example.before, _MOST_BEFORE)


def _steady(example: Example) -> bytes:
    return bytes_of(example.chunks, _MOST_STEADY)


def _ways(plain: bytes) -> Iterator[tuple[Ends, Callable[[bytes], Pieces]]]:
    """Give framings; what begins with STX must do so in every frame."""
    ways: list[tuple[Ends, Callable[[bytes], Pieces]]] = []
    if re.search(rb"[\r\n]", plain):
        ways.append(("line", lambda data: _ended(data, rb"[\r\n]+")))
    if b"\x03" in plain:
        ways.append(("etx", lambda data: _ended(data, rb"\x03+")))
    block = _block(plain)
    fitting = [way for way in ways if STX not in plain or _begins_with_stx(way[1](plain))]
    yield from fitting
    if block is not None:
        start, length = block
        yield "block", lambda data: _blocks(data, start, length)
    yield from (way for way in ways if way not in fitting)


def _begins_with_stx(pieces: Pieces) -> bool:
    begins = [piece[0] == STX for _, piece in pieces]
    return sum(begins) >= _MOSTLY * len(begins)


def _ended(data: bytes, ends: bytes) -> Pieces:
    at = 0
    for end in re.finditer(ends, data):
        if end.start() > at:
            yield at, data[at : end.start()]
        at = end.end()


def _block(plain: bytes) -> tuple[int, int] | None:
    """Find a start byte that comes back after the same length nearly always."""
    control = [byte for byte in sorted(set(plain)) if byte < ord(" ") and byte not in b"\r\n\x03"]
    others = [byte for byte in sorted(set(plain)) if chr(byte) in "=#$%&*>(@!"]
    for start in control + others:
        places = [found.start() for found in re.finditer(re.escape(bytes([start])), plain)]
        gaps = Counter(after - before for before, after in pairwise(places))
        length, times = gaps.most_common(1)[0] if gaps else (0, 0)
        covered = times * length >= _MOSTLY * (len(plain) - 4 * length)
        if covered and _LEAST_BLOCK <= length <= MOST_FRAME_BYTES and times > 1:
            return start, length
    return None


def _blocks(data: bytes, start: int, length: int) -> Pieces:
    at = data.find(start)
    while 0 <= at <= len(data) - length:
        follows = at + length
        if follows == len(data) or data[follows] == start:
            yield at, data[at:follows]
            at = follows
        else:
            at = data.find(start, at + 1)


def _heard(lesson: Lesson, bits: Bits, ends: Ends, cut: Callable[[bytes], Pieces]) -> Heard:
    frames: list[Seen] = []
    damaged = 0
    for at, example in enumerate(lesson.examples):
        for seen in _cut_example(at, example, bits, cut):
            if DAMAGED in seen.raw:
                damaged += 1
            elif len(seen.raw) <= MOST_FRAME_BYTES:
                frames.append(seen)
    usual = [seen for at in range(len(lesson.examples)) for seen in _usual(at, frames)]
    return Heard(bits, ends, tuple(usual), damaged + len(frames) - len(usual))


def _usual(at: int, frames: Sequence[Seen]) -> Iterator[Seen]:
    """Give an example's frames without the few steady ones that are unlike the rest."""
    mine = [seen for seen in frames if seen.example == at]
    shapes = Counter(_shape(seen.raw) for seen in mine if seen.is_steady)
    shape, times = shapes.most_common(1)[0] if shapes else ((0, b""), 0)
    has_usual = times >= _USUAL * shapes.total()
    for seen in mine:
        if not (has_usual and seen.is_steady) or _shape(seen.raw) == shape:
            yield seen


def _shape(raw: bytes) -> tuple[int, bytes]:
    return len(raw), _WORDS.sub(b"a", raw)


def sends_several_lines(heard: Heard) -> bool:
    """Tell whether different lines take turns while one load stands still."""
    for example in {seen.example for seen in heard.frames}:
        mine = [seen.raw for seen in heard.frames if seen.example == example and seen.is_steady]
        often = [
            raw for raw, times in Counter(mine).items() if times * _TURNS >= len(mine) > _TURNS
        ]
        changes = sum(one != other for one, other in pairwise(mine))
        if len(often) > 1 and changes >= _MOSTLY * (len(mine) - 1):
            return True
    return False


def skeleton(raw: bytes) -> bytes:
    """Give a frame with its numbers and letters made alike."""
    return _LETTERS.sub(b"a", _NUMBERS.sub(b"0", raw))


def _cut_example(
    at: int, example: Example, bits: Bits, cut: Callable[[bytes], Pieces]
) -> Iterator[Seen]:
    """Cut one example; a frame that began before the load was steady counts as moving."""
    before = without_top_bit(_before(example), bits)
    steady = without_top_bit(_steady(example), bits)
    pieces = list(cut(before + steady))
    if len(pieces) > 1 and pieces[0][0] == 0:
        pieces = pieces[1:]  # perhaps the tail of a frame
    moving = [piece for start, piece in pieces if start < len(before)]
    still = [piece for start, piece in pieces if start >= len(before)]
    yield from (Seen(piece, at, is_steady=False) for piece in moving[-_MOST_BEFORE_FRAMES:])
    yield from (Seen(piece, at, is_steady=True) for piece in still[-_MOST_STEADY_FRAMES:])
