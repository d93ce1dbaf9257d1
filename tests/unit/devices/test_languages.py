"""Every language against sample frames, whole and in pieces, sound and damaged."""

import functools
import itertools
import operator
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedstation.devices.capture import Chunk
from shedstation.devices.languages.decode import Decoder, FindingDecoder
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.reading import read_frame
from shedstation.devices.languages.recognise import candidates, the_one
from shedstation.devices.languages.rows import LANGUAGES, language
from shedstation.domain.reading import BadFrame, Mode, Reading, State

SAMPLES = [
    ("status-comma", b"ST,GS,+  25.42lb", "25.42 lb", State.STEADY, Mode.GROSS),
    ("status-comma", b"US,NT,-   1.64lb", "-1.64 lb", State.MOVING, Mode.NET),
    ("status-comma", b"ST,NT,+  1.234kg", "1.234 kg", State.STEADY, Mode.NET),
    ("status-comma", b"ST,+0001.234 kg", "1.234 kg", State.STEADY, Mode.UNKNOWN),
    ("status-comma", b"ST,GS,    406.2 oz", "406.2 oz", State.STEADY, Mode.GROSS),
    ("status-comma", b"ST,GS,+ 25 lb 6.2 oz", "25 lb 6.2 oz", State.STEADY, Mode.GROSS),
    ("status-comma", b"OL,GS,+9999999lb", None, State.OVER, Mode.GROSS),
    ("status-comma", b"OL,--------", None, State.OVER, Mode.UNKNOWN),
    ("status-comma", b"UL,GS,-------lb", None, State.UNDER, Mode.GROSS),
    ("fixed-columns", b"   25.42 lb S", "25.42 lb", State.STEADY, Mode.UNKNOWN),
    ("fixed-columns", b"   25.40 lb  ", "25.40 lb", State.MOVING, Mode.UNKNOWN),
    ("fixed-columns", b"-   1.64 lb ?", "-1.64 lb", State.MOVING, Mode.UNKNOWN),
    ("fixed-columns", b"   29182 g  S", "29182 g", State.STEADY, Mode.UNKNOWN),
    ("fixed-columns", b"  ^^^^^^  ", None, State.OVER, Mode.UNKNOWN),
    ("fixed-columns", b"  ______  ", None, State.UNDER, Mode.UNKNOWN),
    ("fixed-columns", b"  Err 2", None, State.FAULT, Mode.UNKNOWN),
    ("fixed-columns", b"  25 lb  6.2 oz S", "25 lb 6.2 oz", State.STEADY, Mode.UNKNOWN),
    ("header-columns", b"ST   25.42 lb", "25.42 lb", State.STEADY, Mode.UNKNOWN),
    ("header-columns", b"US  -25.42 lb", "-25.42 lb", State.MOVING, Mode.UNKNOWN),
    ("header-columns", b"OL  -------", None, State.OVER, Mode.UNKNOWN),
    ("columns-moving-mark", b"   25.42 lb  ", "25.42 lb", State.STEADY, Mode.UNKNOWN),
    ("columns-moving-mark", b"   25.42 lb ?", "25.42 lb", State.MOVING, Mode.UNKNOWN),
    ("plain-columns", b"-    1.64lb", "-1.64 lb", State.UNKNOWN, Mode.UNKNOWN),
    ("unit-when-steady", b"   25.42 lb", "25.42 lb", State.STEADY, Mode.UNKNOWN),
    ("unit-when-steady", b"   25.42   ", None, State.MOVING, Mode.UNKNOWN),
    # 2 d.p. is code 4 of the first byte, division 1 is 08; second byte 20 gross pounds, 39 net kg moving.
    ("status-block", b"\x02,  002542000000\r", "25.42 lb", State.STEADY, Mode.GROSS),
    ("status-block", b"\x02-9   1134   164\r", "1.134 kg", State.MOVING, Mode.NET),
    ("status-block", b'\x02,"    164     0\r', "-1.64 lb", State.STEADY, Mode.GROSS),
    ("status-block", b"\x02,$             \r", None, State.OVER, Mode.GROSS),
    ("status-block", b"\x02,&             \r", None, State.UNDER, Mode.GROSS),
    ("status-block", b"\x02,`   2542     0\r", None, State.FAULT, Mode.GROSS),
    ("status-block", b"\x02*!    254     8\r", "254 lb", State.STEADY, Mode.NET),
    ("status-block", b"\x02) !  2542     0\r", "25420 g", State.STEADY, Mode.GROSS),
    ("short-stx", b"\x02   25.42LG ", "25.42 lb", State.STEADY, Mode.GROSS),
    ("short-stx", b"\x02- 01.134KNM", "-1.134 kg", State.MOVING, Mode.NET),
    ("short-stx", b"\x02   00000LGO", None, State.OVER, Mode.GROSS),
    ("short-stx", b"\x02-  00000LGO", None, State.UNDER, Mode.GROSS),
    ("short-stx", b"\x02   00000LGI", None, State.FAULT, Mode.GROSS),
    ("bracketed-reply", b"\n25.42 LB\r\nS00\r", "25.42 lb", State.STEADY, Mode.UNKNOWN),
    ("bracketed-reply", b"\n 25lb 10.2oz\r\nS10\r", "25 lb 10.2 oz", State.MOVING, Mode.UNKNOWN),
    ("bracketed-reply", b"\n^^.^^ LB\r\nS02\r", None, State.OVER, Mode.UNKNOWN),
    ("bracketed-reply", b"\n__.__ LB\r\nS01\r", None, State.UNDER, Mode.UNKNOWN),
    ("bracketed-reply", b"\n25.42 LB\r\nS400\r", None, State.FAULT, Mode.GROSS),
    ("bracketed-reply", b"\n------- LB\r\nS04\r", None, State.FAULT, Mode.UNKNOWN),
    ("mnemonic-reply", b"S S      25.42 lb", "25.42 lb", State.STEADY, Mode.UNKNOWN),
    ("mnemonic-reply", b"SI D     -1.64 lb", "-1.64 lb", State.MOVING, Mode.UNKNOWN),
    ("mnemonic-reply", b"S D 12:07.50 lb:oz", "12 lb 7.50 oz", State.MOVING, Mode.UNKNOWN),
    ("mnemonic-reply", b"S +", None, State.OVER, Mode.UNKNOWN),
    ("mnemonic-reply", b"S I", None, State.UNKNOWN, Mode.UNKNOWN),
    (
        "ticket-lines",
        b"Gross: 25.64 lb\r\nTare: 1.20 lb\r\nNet: 24.44 lb",
        "24.44 lb",
        State.STEADY,
        Mode.NET,
    ),
    (
        "ticket-lines",
        b"18-06-2026 06:12\r\nID 12\r\nGross   25.64 lb",
        "25.64 lb",
        State.STEADY,
        Mode.GROSS,
    ),
    ("ticket-lines", b"G 11.630kg\nT  0.544kg\nN 11.086kg", "11.086 kg", State.STEADY, Mode.NET),
    (
        "comma-record",
        b"12,2026-06-18,06:12:31,ST,25.64,1.20,24.44,lb",
        "24.44 lb",
        State.STEADY,
        Mode.NET,
    ),
    ("comma-record", b"12,,,US,25.64,0.00,25.64,lb", "25.64 lb", State.MOVING, Mode.GROSS),
    ("comma-record", b"12,,,OL,-----,0.00,-----,lb", None, State.OVER, Mode.UNKNOWN),
    ("comma-record", b"12,,,OL,,,,lb", None, State.OVER, Mode.UNKNOWN),
    ("comma-record", b"12,,,UL,99999,0.00,99999,lb", None, State.UNDER, Mode.UNKNOWN),
    ("pounds-ounces", b"25 lb  6.2 oz", "25 lb 6.2 oz", State.UNKNOWN, Mode.UNKNOWN),
    ("pounds-ounces", b"25lb10.2oz", "25 lb 10.2 oz", State.UNKNOWN, Mode.UNKNOWN),
    ("pounds-ounces", b"25:10.2", "25 lb 10.2 oz", State.UNKNOWN, Mode.UNKNOWN),
    ("pounds-ounces", b"24 lb 16.0 oz", "25 lb 0.0 oz", State.UNKNOWN, Mode.UNKNOWN),
    ("pounds-ounces", b"- 1 lb 10.4 oz", "-1 lb 10.4 oz", State.UNKNOWN, Mode.UNKNOWN),
]


@pytest.mark.parametrize(("name", "frame", "mass", "state", "mode"), SAMPLES)
def test_that_a_sample_frame_is_read(
    name: str, frame: bytes, mass: str | None, state: State, mode: Mode
) -> None:
    found = read_frame(language(name), 1.5, frame)
    assert isinstance(found, Reading), found
    assert (None if found.mass is None else str(found.mass)) == mass
    assert (found.state, found.mode, found.at_s) == (state, mode, 1.5)


@pytest.mark.parametrize(
    ("name", "frame"),
    [
        ("status-comma", b"ST,GS,+  25.42"),
        ("status-comma", b"T,GS,+  25.42lb"),
        ("status-comma", b"ST,GS,+  25.4.2lb"),
        ("status-comma", b"ST,GS,"),
        ("status-comma", b"ST,GS,+ 25 lb 17.2 oz"),
        ("fixed-columns", b"25.42"),
        ("fixed-columns", b"--- 25.42 lb"),
        ("header-columns", b"   25.42 lb"),
        ("plain-columns", b"   25.42 lb S"),
        ("plain-columns", b"25 lb 6.2 oz"),
        ("status-block", b"\x02,   2542     0\r"),
        ("status-block", b"\x02,  02 542     0\r"),
        ("status-block", b"\x02, 0   2542     0\r"),
        ("status-block-checked", b"\x02,  002542000000\rx"),
        ("short-stx", b"\x02   25.42TG "),
        ("short-stx", b"\x02  2 5.42LG "),
        ("bracketed-reply", b"\n?\r"),
        ("bracketed-reply", b"25.42 LB\r\nS00\r"),
        ("bracketed-reply", b"\n------- LB\r\nS00\r"),
        ("mnemonic-reply", b"S S"),
        ("mnemonic-reply", b"ES"),
        ("ticket-lines", b"Gross: 25.64 lb\nTare: 1.20 lb\nNet: 24.45 lb"),
        ("ticket-lines", b"Gross: 25.64 lb\nGross: 25.64 lb"),
        ("ticket-lines", b"Gross: 25.64 lb\nTare: 1.20 kg\nNet: 24.44 lb"),
        ("comma-record", b"12,,,ST,25.64,1.20,24.45,lb"),
        ("comma-record", b"12,,,ST,25.64,1.20,24.44,lb,*00"),
        ("comma-record", b"12,,,ST,,,,lb"),
        ("comma-record", b"12,,,ST,25.64,,24.44,lb"),
        ("pounds-ounces", b"25.42 lb"),
        ("pounds-ounces", b"25 lb 16.1 oz"),
    ],
)
def test_that_what_is_not_wholly_in_the_language_is_no_number(name: str, frame: bytes) -> None:
    assert isinstance(read_frame(language(name), 0.0, frame), BadFrame)


STREAM = b"".join(
    frame + end
    for (name, frame, *_), end in zip(
        [sample for sample in SAMPLES if sample[0] == "status-comma"] * 3,
        [b"\r\n", b"\n", b"\r", b"\n\r"] * 7,
        strict=False,
    )
)


def read_all(pieces: list[bytes]) -> list[object]:
    decoder = Decoder(language("status-comma"))
    decoder.feed(0.0, b"tail of a frame\r\n")
    return [event for piece in pieces for event in decoder.feed(0.0, piece)]


@given(st.lists(st.integers(0, len(STREAM)), max_size=12))
def test_that_any_split_of_the_bytes_gives_the_same_readings(cuts: list[int]) -> None:
    edges = [0, *sorted(cuts), len(STREAM)]
    pieces = [STREAM[a:b] for a, b in itertools.pairwise(edges)]
    assert read_all(pieces) == read_all([STREAM])


def test_that_every_single_split_gives_the_same_readings() -> None:
    whole = read_all([STREAM])
    assert len(whole) == 27
    for cut in range(len(STREAM)):
        assert read_all([STREAM[:cut], STREAM[cut:]]) == whole


@given(st.sampled_from(SAMPLES), st.data())
def test_that_a_damaged_byte_never_gives_a_reading_outside_the_grammar(
    sample: tuple[str, bytes, str | None, State, Mode], data: st.DataObject
) -> None:
    name, frame, *_ = sample
    place = data.draw(st.integers(0, len(frame) - 1))
    damaged = bytearray(frame)
    damaged[place] = data.draw(st.integers(0, 255))
    found = read_frame(language(name), 0.0, bytes(damaged))
    if isinstance(found, Reading):
        assert language(name).grammar.fullmatch(bytes(damaged))


@given(st.binary(max_size=400), st.sampled_from([each.name for each in LANGUAGES]))
def test_that_random_bytes_are_counted_and_never_break_the_reader(data: bytes, name: str) -> None:
    decoder = Decoder(language(name))
    decoder.feed(0.0, b"\r\n")
    for event in decoder.feed(0.0, data + b"\r\n"):
        assert isinstance(event, Reading | BadFrame)


def test_that_the_tail_of_a_frame_is_dropped_after_opening() -> None:
    decoder = Decoder(language("fixed-columns"))
    events = decoder.feed(0.0, b"2.34 lb S\r\n  12.34 lb S\r\n")
    assert [str(event.mass) for event in events if isinstance(event, Reading)] == ["12.34 lb"]


def test_that_an_endless_frame_is_one_bad_frame_and_the_next_is_read() -> None:
    decoder = Decoder(language("fixed-columns"))
    decoder.feed(0.0, b"\r\n")
    events = decoder.feed(0.0, b"x" * 5000 + b"\r\n  12.34 lb S\r\n")
    assert [type(event) for event in events] == [BadFrame, Reading]


def checked(body: bytes) -> bytes:
    """Append the check of a record: the XOR of all bytes before the star, two hex digits."""
    return body + b",*%02X" % functools.reduce(operator.xor, body + b",")


def test_that_every_damaged_byte_of_a_checked_record_is_noticed() -> None:
    frame = checked(b"12,2026-06-18,06:12:31,ST,25.64,1.20,24.44,lb")
    assert isinstance(read_frame(language("comma-record"), 0.0, frame), Reading)
    for place, byte in itertools.product(range(len(frame)), range(256)):
        damaged = frame[:place] + bytes([byte]) + frame[place + 1 :]
        if damaged.upper() != frame.upper():
            assert isinstance(read_frame(language("comma-record"), 0.0, damaged), BadFrame)


def test_that_every_damaged_byte_of_a_checked_block_is_noticed() -> None:
    body = b"\x02,  002542000000\r"
    frame = body + bytes([-sum(body) & 0x7F])
    assert isinstance(read_frame(language("status-block-checked"), 0.0, frame), Reading)
    for place, byte in itertools.product(range(len(frame)), range(128)):
        damaged = frame[:place] + bytes([byte]) + frame[place + 1 :]
        if damaged != frame:
            assert isinstance(read_frame(language("status-block-checked"), 0.0, damaged), BadFrame)


@pytest.mark.parametrize("spoken", LANGUAGES, ids=lambda each: each.name)
def test_that_a_language_reads_its_own_sample_and_nobody_else_is_found_in_it(
    spoken: Language,
) -> None:
    chunks = [Chunk(n / 4, spoken.sample) for n in range(4)]
    found = the_one(candidates(chunks, LANGUAGES))
    if spoken.proof is not None and not spoken.proof.fullmatch(spoken.sample.strip(b"\r\n")):
        assert found is None or found.language.proof is None
    else:
        assert found is not None
        assert (found.language.name, found.bad) == (spoken.name, 0)


def test_that_languages_are_named_by_structure() -> None:
    assert all(re.fullmatch(r"[a-z]+(-[a-z]+)*", each.name) for each in LANGUAGES)


# ---- silences


@pytest.mark.parametrize(
    ("name", "before", "after", "shown"),
    [
        ("plain-columns", b"   1", b"25.42 lb\r\n", "25.42 lb"),
        ("plain-columns", b"   -", b"   25.42 lb\r\n", "25.42 lb"),
        ("pounds-ounces", b"2", b"5 lb 6.2 oz\r\n", "5 lb 6.2 oz"),
    ],
)
def test_that_no_reading_is_made_of_two_pieces_with_a_silence_between(
    name: str, before: bytes, after: bytes, shown: str
) -> None:
    decoder = Decoder(language(name))
    decoder.feed(0.0, b"\r\n")
    assert decoder.feed(0.1, before) == []
    (broken,) = decoder.idle(3.0)
    assert isinstance(broken, BadFrame)
    (found,) = decoder.feed(4.0, after)
    assert isinstance(found, Reading)
    assert str(found.mass) == shown


def test_that_the_first_print_after_a_silence_is_read() -> None:
    for decoder in (
        Decoder(language("plain-columns")),
        FindingDecoder((language("plain-columns"),)),
    ):
        decoder.idle(0.0)
        decoder.idle(2.0)
        (found,) = decoder.feed(5.0, b"   1.64 lb\r\n")
        assert isinstance(found, Reading)


@pytest.mark.parametrize("size", [1, 5, 8, 16, 18, 36])
@pytest.mark.parametrize("spoken", [(language("status-comma"),), LANGUAGES], ids=["one", "all"])
def test_that_a_language_is_found_in_pieces_of_any_size(
    spoken: tuple[Language, ...], size: int
) -> None:
    stream = b"ST,GS,+  25.42lb\r\n" * 200
    decoder = FindingDecoder(spoken)
    read = [
        event
        for n in range(0, len(stream), size)
        for event in decoder.feed(n / 1000, stream[n : n + size])
        if isinstance(event, Reading)
    ]
    assert len(read) > 150


def test_that_half_a_ticket_is_never_read() -> None:
    decoder = Decoder(language("ticket-lines"))
    assert decoder.idle(-1.0) == []  # silence before it: this is its beginning
    assert decoder.feed(0.0, b"Gross: 25 lb 1") == []
    assert decoder.idle(0.3) == []
    (found,) = [*decoder.feed(0.4, b"2.5 oz\r\n\r\n"), *decoder.idle(5.0)]
    assert isinstance(found, Reading)
    assert str(found.mass) == "25 lb 12.5 oz"
    assert decoder.feed(6.0, b"Gross: 25 lb 1") == []
    (broken,) = decoder.idle(9.0)
    assert isinstance(broken, BadFrame)
