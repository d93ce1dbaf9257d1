"""Every language against pieces, damage, rubbish and malice."""

import os
import re
import re._parser as parser  # type: ignore[import-not-found]  # no stubs
import tracemalloc
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from matrix.displays import displays, displays_for, stamped
from matrix.modbus_module import ModbusModule
from matrix.searching import search
from matrix.wire import WireScale
from uart import Setting

from shedstation.devices.capture import Chunk
from shedstation.devices.languages import replies
from shedstation.devices.languages.bits import Bits, with_top_bit, without_top_bit
from shedstation.devices.languages.decode import Decoder, FindingDecoder
from shedstation.devices.languages.framing import (
    MOST_FRAME_BYTES,
    MOST_TICKET_BYTES,
    Cut,
    First,
)
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.reading import read_frame
from shedstation.devices.languages.rows import LANGUAGES, language
from shedstation.devices.lines.judging import judged
from shedstation.devices.practice.voices.shown import Shown
from shedstation.devices.practice.voices.table import VOICES
from shedstation.domain.mass import Unit
from shedstation.domain.reading import BadFrame, Reading
from shedstation.domain.scale_found import Sure

IS_LONG = bool(os.environ.get("SHEDSTATION_LONG"))
RANDOM_BYTES = 1_000_000
FOUND_BYTES = 1_000_000 if IS_LONG else 150_000
"""Looking for the language costs more than reading in one."""

NAMES = [each.name for each in LANGUAGES]
TEXT = [each.name for each in LANGUAGES if not each.is_binary]
CHECKED = [each.name for each in LANGUAGES if each.has_check]


def module_stream(*, low_first: bool, over_tcp: bool) -> bytes:
    """Give a module's answers, each asked for."""
    module = ModbusModule(low_first=low_first, over_tcp=over_tcp)
    names = "modbus-tcp-registers" if over_tcp else "modbus-registers"
    ask = language(names).ask or b""
    answers = b""
    for shown in [*displays(Unit.LB)][::6]:
        module.hear(ask)
        answers += b"".join(module.say(shown))
    return answers


@cache
def stream(name: str) -> bytes:
    """Give several frames of a language, of every kind its voices have."""
    if name.startswith("modbus"):
        return module_stream(low_first="low-first" in name, over_tcp="tcp" in name)
    if name == "hid-weighing":
        return b"".join(bytes([3, status, 12, 0xFE, status, 9]) for status in (4, 3, 2, 6, 5, 4))
    (voice, *_) = [each for each in VOICES if each.language == name]
    shown = displays_for(voice, voice.units[0])[::6]
    return b"".join(voice.write(stamped(each, number)) for number, each in enumerate(shown))


def events_of(
    name: str, pieces: Sequence[bytes], bits: Bits = Bits.PLAIN
) -> list[Reading | BadFrame]:
    decoder = Decoder(language(name), bits)
    return [*(event for piece in pieces for event in decoder.feed(0.0, piece)), *decoder.finish()]


def readings(events: Sequence[Reading | BadFrame]) -> list[Reading]:
    return [event for event in events if isinstance(event, Reading)]


def split_at(data: bytes, cuts: Sequence[int]) -> list[bytes]:
    places = sorted({0, len(data), *(cut % len(data) for cut in cuts)})
    return [data[start:end] for start, end in pairwise(places)]


# ---- pieces


@pytest.mark.parametrize("name", NAMES)
def test_that_a_stream_is_read_at_all(name: str) -> None:
    assert len(readings(events_of(name, [stream(name)]))) >= 4


@pytest.mark.parametrize("name", NAMES)
@given(cuts=st.lists(st.integers(0, 5000), max_size=40))
def test_that_any_split_gives_the_same(name: str, cuts: list[int]) -> None:
    whole = events_of(name, [stream(name)])
    assert events_of(name, split_at(stream(name), cuts)) == whole


@pytest.mark.parametrize("name", NAMES)
def test_that_single_bytes_give_the_same(name: str) -> None:
    data = stream(name)
    assert events_of(name, [bytes([byte]) for byte in data]) == events_of(name, [data])


# ---- damage


def is_part_of(some: Sequence[Reading], every: Sequence[Reading]) -> bool:
    """Tell whether all readings are among the others, in their order."""
    rest = iter(every)
    return all(each in rest for each in some)


@pytest.mark.parametrize("name", CHECKED)
@given(at=st.integers(0, 5000), change=st.integers(1, 255))
def test_that_a_damaged_byte_is_found_by_the_check(name: str, at: int, change: int) -> None:
    data = bytearray(stream(name))
    data[at % len(data)] ^= change
    every, events = readings(events_of(name, [stream(name)])), events_of(name, [bytes(data)])
    assert is_part_of(readings(events), every)
    assert len(readings(events)) >= len(every) - 2


@pytest.mark.parametrize("name", TEXT)
@given(at=st.integers(0, 5000), bit=st.integers(0, 7), odd=st.booleans())
def test_that_a_damaged_bit_is_found_by_the_parity(name: str, at: int, bit: int, odd: bool) -> None:
    bits = Bits.ODD if odd else Bits.EVEN
    sent = with_top_bit(stream(name), bits)
    data = bytearray(sent)
    data[at % len(data)] ^= 1 << bit
    every, some = (readings(events_of(name, [each], bits)) for each in (sent, bytes(data)))
    if name == "unit-when-steady":
        # A moving weight has the unit that came last; if that was damaged it has none and is no mass.
        every, some = ([replace(x, mass=None) for x in each] for each in (every, some))
    assert is_part_of(some, every)
    assert len(every) - 3 <= len(some)


def lines_of(name: str, data: bytes) -> list[Reading]:
    """Read a stream of lines in another way: split all of it at once, read each line."""
    spoken = language(name)
    pieces = re.split(rb"[\r\n]+", without_top_bit(data, Bits.PLAIN))[:-1]
    started = pieces if spoken.shows_its_start else pieces[1:]
    whole = [piece for piece in started if 0 < len(piece) <= MOST_FRAME_BYTES]
    return [read for each in whole if isinstance(read := read_frame(spoken, 0.0, each), Reading)]


@pytest.mark.parametrize(
    "name", [each.name for each in LANGUAGES if each.framing is LANGUAGES[0].framing]
)
@given(at=st.integers(0, 5000), byte=st.integers(0, 255))
def test_that_a_damaged_byte_gives_nothing_but_lines_of_the_grammar(
    name: str, at: int, byte: int
) -> None:
    data = bytearray(stream(name))
    data[at % len(data)] = byte
    got = [(x.mass, x.state, x.mode, x.tare) for x in readings(events_of(name, [bytes(data)]))]
    if name != "unit-when-steady":
        assert got == [(x.mass, x.state, x.mode, x.tare) for x in lines_of(name, bytes(data))]
    assert len(got) == len(lines_of(name, bytes(data)))


# ---- rubbish


def rubbish(spoken: Language, dice: Random, count: int) -> Iterator[bytes]:
    """Give random bytes in lots: any at all, those of the language, and its own frames in shreds."""
    sample, letters = stream(spoken.name), bytes(set(stream(spoken.name)))
    while count > 0:
        size = dice.randint(1, 400)
        match dice.randrange(3):
            case 0:
                lot = dice.randbytes(size)
            case 1:
                lot = bytes(dice.choices(letters, k=size))
            case _:
                start = dice.randrange(len(sample))
                lot = sample[start : start + dice.randint(1, 60)]
        count -= len(lot)
        yield lot


@pytest.mark.parametrize("name", NAMES)
def test_that_random_bytes_give_nothing_outside_the_grammar(name: str) -> None:
    spoken = language(name)
    framer = spoken.framing.framer(First.TAKEN)
    most = MOST_TICKET_BYTES if name == "ticket-lines" else MOST_FRAME_BYTES
    seen = 0
    for number, lot in enumerate(rubbish(spoken, Random(name), RANDOM_BYTES // len(NAMES))):
        data = lot if spoken.is_binary else without_top_bit(lot, Bits.PLAIN)
        for frame in framer.feed(float(number), data):
            event = read_frame(spoken, frame.at_s, frame.raw, frame.cut)
            assert len(frame.raw) <= most
            if isinstance(event, Reading):
                assert frame.cut is Cut.WHOLE
                assert spoken.grammar.fullmatch(frame.raw)
                seen += 1
    assert seen > 0


@pytest.mark.parametrize("name", NAMES)
def test_that_a_million_random_bytes_take_no_memory(name: str) -> None:
    """Fewer of each language than in all: counting memory is slow."""
    spoken = language(name)
    decoder = Decoder(spoken)
    lots = list(rubbish(spoken, Random(name), 12_000))
    events = 0
    tracemalloc.start()
    try:
        for lot in lots[: len(lots) // 3]:
            events += len(decoder.feed(0.0, lot))
        before, _ = tracemalloc.get_traced_memory()
        for lot in lots[len(lots) // 3 :]:
            events += len(decoder.feed(0.0, lot))
        after, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert events > 0
    assert after - before < 4096


def test_that_a_finder_of_languages_keeps_little_of_random_bytes() -> None:
    decoder, dice = FindingDecoder(), Random(1)
    done, sizes = 0, []
    tracemalloc.start()
    try:
        while done < FOUND_BYTES:
            spoken = dice.choice(LANGUAGES)
            for lot in rubbish(spoken, dice, 5000):
                decoder.feed(float(done), lot)
                done += len(lot)
            sizes.append(tracemalloc.get_traced_memory()[0])
    finally:
        tracemalloc.stop()
    assert max(sizes[3:]) < min(sizes[:3]) + 300_000


def test_that_random_bytes_are_judged_to_be_nothing() -> None:
    dice = Random(2)
    for number in range(FOUND_BYTES // 1000):
        found = judged([Chunk(float(number), dice.randbytes(1000))], LANGUAGES)
        assert found.sure is Sure.NOTHING


class Rubbish:
    """A thing on the line that is no scale."""

    def __init__(self, dice: Random) -> None:
        self._dice = dice

    def hear(self, data: bytes) -> None:
        del data

    def say(self, shown: Shown) -> list[bytes]:
        del shown
        spoken = self._dice.choice(LANGUAGES)
        return [b"".join(rubbish(spoken, self._dice, 60))[:90]]


@pytest.mark.parametrize("seed", range(30 if IS_LONG else 6))
def test_that_the_search_is_never_sure_of_rubbish(seed: int) -> None:
    scale = WireScale(
        Rubbish(Random(seed)), Setting((9600, 2400, 115200)[seed % 3]), [*displays(Unit.LB)], 0.2
    )
    assert search(scale).found.sure is not Sure.SURE


# ---- malice


def unbounded(pattern: re.Pattern[bytes]) -> int:
    """Count the runs of any length that may give back what they took, to be tried in another way."""

    def count(node: object) -> int:
        if isinstance(node, tuple) and node and node[0] is parser.MAX_REPEAT:
            _, (_, most, inner) = node
            return int(most == parser.MAXREPEAT) + count(inner)
        if isinstance(node, parser.SubPattern):
            return count(node.data)
        return sum(count(each) for each in node) if isinstance(node, list | tuple) else 0

    return count(parser.parse(pattern.pattern, pattern.flags))


def test_that_runs_that_give_back_are_counted() -> None:
    assert unbounded(re.compile(rb" *a *b")) == 2
    assert unbounded(re.compile(rb" *+(?:a+|b{2,3})")) == 1


def test_that_no_grammar_can_be_tried_in_more_and_more_ways() -> None:
    """With one such run the ways grow no faster than the frame; blanks shared by five are millions."""
    patterns = [each.grammar for each in LANGUAGES]
    patterns += [each.proof for each in LANGUAGES if each.proof is not None]
    patterns += [replies.TICKET_LABEL, replies._TICKET_LINE, replies._SOME_WEIGHT]
    assert [each.pattern for each in patterns if unbounded(each) > 1] == []


@pytest.mark.parametrize("name", NAMES)
def test_that_frames_full_of_one_byte_are_no_reading_or_one_in_the_grammar(name: str) -> None:
    spoken = language(name)
    sample = spoken.sample.strip(b"\r\n\x03")
    for cut in range(len(sample) + 1):
        for byte in b" 0+-^_.:,S":
            frame = sample[:cut] + bytes([byte]) * (MOST_FRAME_BYTES - cut)
            event = read_frame(spoken, 0.0, frame)
            assert isinstance(event, BadFrame) or spoken.grammar.fullmatch(frame)
