"""Bytes that are cut, lost, bent or doubled on the way: never a reading that nobody sent."""

import re
from collections.abc import Iterator
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from matrix.streams import (
    ONE_A_VOICE,
    STREAMS,
    Said,
    Stream,
    events,
    is_part_of,
    readings,
    said,
)

from shedstation.devices.languages.bits import Bits, with_top_bit
from shedstation.devices.languages.decode import Decoder
from shedstation.devices.languages.framing import LINES, MOST_FRAME_BYTES
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.reading import read_frame
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.domain.reading import Mode, Reading, State

CHECKED = [
    each
    for each in STREAMS
    if each.voice.name in {"status-block-checked", "comma-record", "comma-record-after-comma"}
]
TEXT = [each for each in ONE_A_VOICE if not each.language.is_binary]


def pieces_of(data: bytes, cuts: list[int]) -> list[bytes]:
    edges = [0, *sorted(cut % (len(data) + 1) for cut in cuts), len(data)]
    return [data[a:b] for a, b in pairwise(edges)]


def alike(got: list[Said], sent: list[Said]) -> bool:
    """Tell whether that was sent; a number whose unit never came yet may be left out."""
    return len(got) == len(sent) and all(
        one == other or (one[0] is None and one[1:] == other[1:] == (State.MOVING, Mode.UNKNOWN))
        for one, other in zip(got, sent, strict=True)
    )


@pytest.mark.parametrize("stream", STREAMS, ids=str)
def test_that_every_single_cut_gives_the_same_readings(stream: Stream) -> None:
    data = b"".join(stream.frames[:4])
    whole = readings(stream.language, [data])
    assert len(whole) == 4 if stream.language.shows_its_start else 3
    for cut in range(1, len(data)):
        assert readings(stream.language, [data[:cut], data[cut:]]) == whole, cut


@pytest.mark.parametrize("stream", STREAMS, ids=str)
def test_that_bytes_come_one_by_one_or_all_at_once(stream: Stream) -> None:
    data = b"".join(stream.frames)
    one_by_one = [data[at : at + 1] for at in range(len(data))]
    assert events(stream.language, one_by_one) == events(stream.language, [data])


@pytest.mark.parametrize("stream", STREAMS, ids=str)
def test_that_a_line_may_be_opened_in_the_middle_of_any_frame(stream: Stream) -> None:
    """What is read is the end of what was sent: a tail never becomes a weight."""
    spoken, data = stream.language, b"".join(stream.frames)
    every = readings(spoken, [stream.end, data])
    for start in range(len(b"".join(stream.frames[:3]))):
        got = readings(spoken, [data[start:]])
        assert alike(got, every[len(every) - len(got) :]), data[start : start + 40]
        assert len(got) >= len(every) - 4


@pytest.mark.parametrize("stream", [x for x in STREAMS if not x.voice.prints_only], ids=str)
def test_that_a_capture_may_begin_in_the_middle_of_any_frame(stream: Stream) -> None:
    spoken, data = stream.language, b"".join(stream.frames)
    every = readings(spoken, [stream.end, data])
    for start in range(len(b"".join(stream.frames[:2]))):
        decoder = Decoder(spoken, in_capture=True)
        found = [*decoder.feed(0.0, data[start:]), *decoder.finish()]
        got = [said(event) for event in found if isinstance(event, Reading)]
        assert alike(got, every[len(every) - len(got) :]), data[start:][:40]


@pytest.mark.parametrize("stream", CHECKED, ids=str)
def test_that_any_damaged_byte_is_noticed_where_frames_are_checked(stream: Stream) -> None:
    spoken = stream.language
    before, frame, after = stream.frames[1], stream.frames[7], stream.frames[2]
    data = before + frame + after
    sent = readings(spoken, [stream.end + data])
    assert len(sent) == 3
    for place in range(len(before), len(before) + len(frame)):
        for byte in range(256):
            damaged = data[:place] + bytes([byte]) + data[place + 1 :]
            got = readings(spoken, [stream.end + damaged])
            assert is_part_of(got, sent), damaged
            assert len(got) < 3 or got == sent


@pytest.mark.parametrize("bits", [Bits.EVEN, Bits.ODD])
@pytest.mark.parametrize("stream", TEXT, ids=str)
def test_that_any_bent_bit_is_noticed_where_there_is_parity(stream: Stream, bits: Bits) -> None:
    """Parity shows every single bit that came over wrong; the reading of that frame is missing."""
    spoken = stream.language
    frames = [with_top_bit(each, bits) for each in stream.frames[:4]]
    data = b"".join(frames)
    sent = readings(spoken, [data], bits)
    for place in range(len(frames[0]), len(frames[0]) + len(frames[1])):
        for bit in range(8):
            damaged = data[:place] + bytes([data[place] ^ 1 << bit]) + data[place + 1 :]
            got = readings(spoken, [damaged], bits)
            assert is_part_of(got, sent), damaged


@pytest.mark.parametrize("stream", ONE_A_VOICE, ids=str)
def test_that_a_damaged_byte_gives_no_unit_decimals_or_length_that_was_not_sent(
    stream: Stream,
) -> None:
    """Without a check a digit may turn into another; what it may not do is leave the grammar."""
    spoken, frames = stream.language, stream.frames[:3]
    data = b"".join(frames)
    for place in range(len(frames[0]), len(data) - len(frames[2])):
        for byte in range(256):
            damaged = data[:place] + bytes([byte]) + data[place + 1 :]
            for event in events(spoken, [damaged]):
                if isinstance(event, Reading) and event.mass is not None:
                    assert 0 <= event.mass.decimals <= 4
                    assert abs(event.mass.count) < 10**11


mutations = st.lists(
    st.tuples(
        st.sampled_from(["bend", "lose", "double", "insert", "swap"]),
        st.integers(0, 10**6),
        st.integers(0, 255),
    ),
    max_size=6,
)


def mutated(data: bytes, changes: list[tuple[str, int, int]]) -> bytes:
    changed = bytearray(data)
    for kind, where, byte in changes:
        at = where % max(len(changed), 1)
        match kind:
            case "bend":
                changed[at : at + 1] = bytes([byte])
            case "lose":
                del changed[at : at + 1 + byte % 5]
            case "double":
                changed[at:at] = changed[at : at + byte % 30]
            case "insert":
                changed.insert(at, byte)
            case _:
                changed[at : at + 2] = changed[at : at + 2][::-1]
    return bytes(changed)


@given(
    st.sampled_from(STREAMS),
    mutations,
    st.lists(st.integers(0, 10**6), max_size=8),
    st.sampled_from(list(Bits)),
)
def test_that_damaged_bytes_are_read_alike_in_any_pieces(
    stream: Stream, changes: list[tuple[str, int, int]], cuts: list[int], bits: Bits
) -> None:
    data = mutated(with_top_bit(b"".join(stream.frames[:6]), bits), changes)
    spoken = stream.language
    assert readings(spoken, pieces_of(data, cuts), bits) == readings(spoken, [data], bits)


def read_lines(spoken: Language, lines: list[bytes]) -> Iterator[Reading]:
    unit = None
    for line in lines:
        if not spoken.grammar.fullmatch(line):
            continue
        event = read_frame(spoken, 0.0, line, last_unit=unit)
        if isinstance(event, Reading):
            unit = event.mass.unit if event.mass else unit
            yield event


PIECES = st.sampled_from(
    [
        piece
        for each in STREAMS
        for frame in each.frames[:8]
        for piece in re.split(b"(?<=[ ,:])", frame)
    ]
)


@given(st.lists(PIECES, max_size=60), st.lists(st.integers(0, 10**6), max_size=8))
def test_that_only_whole_lines_are_ever_read(pieces: list[bytes], cuts: list[int]) -> None:
    """A soup of parts of real frames: each reading is one whole line that matches its grammar."""
    soup = b"\n" + b"".join(pieces) + b"\n"
    lines = [line for line in re.split(rb"[\r\n]+", soup) if 0 < len(line) <= MOST_FRAME_BYTES]
    for spoken in LANGUAGES:
        if spoken.framing is LINES:
            wanted = [said(x) for x in read_lines(spoken, lines)]
            assert readings(spoken, pieces_of(soup, cuts)) == wanted
