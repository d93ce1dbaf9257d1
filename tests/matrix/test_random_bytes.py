"""A million random bytes through every decoder and through the search: nothing breaks, nothing grows."""

import re
import tracemalloc
from collections.abc import Iterator
from itertools import product
from random import Random, randrange

import pytest
from conftest import IS_LONG
from hypothesis import given
from hypothesis import strategies as st
from matrix.streams import STREAMS, Said, readings, said

from shedstation.devices.languages.bits import Bits
from shedstation.devices.languages.decode import Decoder, Decoding, FindingDecoder
from shedstation.devices.languages.framing import LINES, MOST_FRAME_BYTES
from shedstation.devices.languages.language import Language, Wire
from shedstation.devices.languages.reading import read_frame
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.devices.lines.finder import ScaleFinder
from shedstation.devices.lines.hearing import Setting
from shedstation.domain.message import Message
from shedstation.domain.reading import BadFrame, Reading
from shedstation.domain.scale_found import Found

MILLION = 10**6
SEED = randrange(10**9) if IS_LONG else 11
MOST_GROWTH = 64 * 1024
MOST_RAW = 1000
PIECES_FIRST = 3300
"""Of some 3,700 pieces that a million bytes come in."""
SERIAL = [each for each in LANGUAGES if Wire.SERIAL in each.wires]


def chunks(data: bytes, dice: Random) -> Iterator[bytes]:
    at = 0
    while at < len(data):
        size = dice.choice((1, 7, 64, 1000))
        yield data[at : at + size]
        at += size


def random_chunks(seed: int, alphabet: bytes = bytes(range(256))) -> Iterator[bytes]:
    """Give a million bytes in random pieces, never all at once."""
    dice = Random(seed)
    for _ in range(100):
        lot = bytes(dice.choices(alphabet, k=MILLION // 100))
        yield from chunks(lot, dice)


def fed(decoder: Decoding, pieces: Iterator[bytes]) -> tuple[int, int]:
    """Feed everything; give how many readings came, and what of the last tenth is still held."""
    count = 0
    try:
        for number, piece in enumerate(pieces):
            for event in decoder.feed(number / 50, piece):
                assert isinstance(event, Reading | BadFrame)
                assert isinstance(event, Reading) or len(event.raw) <= MOST_RAW
                count += isinstance(event, Reading)
            decoder.idle(number / 50)
            if number == PIECES_FIRST:
                tracemalloc.start()  # Watching costs time, so it begins late.
        assert tracemalloc.is_tracing()
        held, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    return count, held


@pytest.mark.parametrize("spoken", LANGUAGES, ids=lambda spoken: spoken.name)
def test_that_a_million_random_bytes_leave_nothing_behind(spoken: Language) -> None:
    kinds = (Bits.PLAIN,) if spoken.is_binary else tuple(Bits)
    for bits in kinds:
        count, growth = fed(Decoder(spoken, bits), random_chunks(SEED))
        assert growth < MOST_GROWTH, bits
        # Noise that happens to be a frame: a lone digit between two line ends, or six bytes in range.
        assert count < (MILLION / 1000 if spoken.name == "hid-weighing" else 50), bits


@pytest.mark.parametrize("byte", [b"\x00", b"\x02", b"\x03", b"\r", b" ", b"9", b"\xff"])
def test_that_one_byte_without_end_leaves_nothing_behind(byte: bytes) -> None:
    for spoken in SERIAL:
        pieces = iter([byte * 50] * (PIECES_FIRST + 300))
        count, growth = fed(Decoder(spoken), pieces)
        assert (count, growth < MOST_GROWTH) == (0, True), spoken.name


def test_that_no_language_is_found_in_a_million_random_bytes() -> None:
    decoder = FindingDecoder(SERIAL)
    count, growth = fed(decoder, random_chunks(SEED))
    assert (count, decoder.found) == (0, None)
    assert growth < MOST_GROWTH


class Noisy:
    """A line that hisses: random bytes at its full speed, in virtual time."""

    def __init__(self, dice: Random, clock: list[float], alphabet: bytes) -> None:
        self.port: str | Message = "noise"
        self.given = 0
        self._dice, self._clock, self._alphabet = dice, clock, alphabet
        self._baud = 9600

    def at(self, setting: Setting) -> "Noisy":
        self._baud = setting.baud or 9600
        return self

    def open(self) -> None:
        self._clock[0] += 0.1

    def read_chunk(self) -> bytes:
        self._clock[0] += 0.02
        data = bytes(self._dice.choices(self._alphabet, k=self._baud // 500))
        self.given += len(data)
        return data

    def write(self, data: bytes) -> None:
        raise AssertionError(data)

    def close(self) -> None:
        """Close without a word."""


@pytest.mark.parametrize(
    ("alphabet", "most"),
    [
        (bytes(range(256)), MILLION),
        (b"\x00\x80\xff\xf8\xe0\xfe", MILLION // 10),
        (b"0123456789 .kglb\r\n", MILLION // 20),
    ],
    ids=["any", "wrong speed", "digits"],
)
def test_that_the_search_is_not_taken_in_by_noise(alphabet: bytes, most: int) -> None:
    clock, given = [0.0], 0
    dice = Random(SEED)
    tracemalloc.start()
    try:
        while given < most:
            noise = Noisy(dice, clock, alphabet)
            *_, found = ScaleFinder(noise.at, lambda: clock[0], languages=SERIAL).search()
            assert isinstance(found, Found)
            assert found.language is None
            given += noise.given
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < 4 * MILLION


ALPHABET = bytes(sorted(set(b"".join(b"".join(each.frames[:8]) for each in STREAMS))))
PIECES = st.sampled_from(
    [
        piece
        for each in STREAMS
        for frame in each.frames[:8]
        for piece in re.split(b"(?<=[ ,:])", frame)
    ]
)


@given(st.lists(PIECES, max_size=60), st.integers(0, 2**32))
def test_that_only_whole_lines_are_ever_read(pieces: list[bytes], seed: int) -> None:
    """A soup of parts of real frames: each reading is one whole line that matches its grammar."""
    soup = b"\n" + b"".join(pieces) + b"\n"
    lines = [line for line in re.split(rb"[\r\n]+", soup) if 0 < len(line) <= MOST_FRAME_BYTES]
    for spoken in LANGUAGES:
        if spoken.framing is LINES:
            wanted = [said(x) for x in map_read(spoken, lines)]
            assert readings(spoken, chunks(soup, Random(seed))) == wanted


def map_read(spoken: Language, lines: list[bytes]) -> Iterator[Reading]:
    unit = None
    for line in lines:
        if not spoken.grammar.fullmatch(line):
            continue
        event = read_frame(spoken, 0.0, line, last_unit=unit)
        if isinstance(event, Reading):
            unit = event.mass.unit if event.mass else unit
            yield event


@pytest.mark.parametrize("spoken", SERIAL, ids=lambda spoken: spoken.name)
def test_that_a_million_bytes_of_its_own_letters_leave_nothing_behind(spoken: Language) -> None:
    _, growth = fed(Decoder(spoken), random_chunks(SEED, ALPHABET))
    assert growth < MOST_GROWTH


def test_that_random_pieces_are_read_alike_however_long_they_are() -> None:
    dice = Random(SEED)
    for spoken, _ in product(LANGUAGES, range(3)):
        data = bytes(dice.choices(ALPHABET, k=20_000))
        whole: list[Said] = readings(spoken, [data])
        assert readings(spoken, chunks(data, dice)) == whole, spoken.name
