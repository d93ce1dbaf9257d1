"""What the practice scale sends, byte for byte (the families are known from memory, unpublished)."""

import random

import pytest

from shedstation.bootstrap.practice import practice_setup
from shedstation.devices.practice.scale import PracticeScale
from shedstation.devices.practice.sending import Sending
from shedstation.devices.practice.voices.blocks import checksum
from shedstation.devices.practice.voices.commas import xor_hex
from shedstation.devices.practice.voices.shown import Shown
from shedstation.devices.practice.voices.table import VOICES, voice
from shedstation.domain.errors import WorldFault
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.reading import Mode, State


def shown(mass: str, state: State = State.STEADY, tare: str | None = None) -> Shown:
    mode = Mode.GROSS if tare is None else Mode.NET
    return Shown(
        mass=parse_mass(mass),
        state=state,
        mode=mode,
        tare=None if tare is None else parse_mass(tare),
        at_s=62.0,
    )


FRAMES = [
    ("status-comma", shown("1.234 kg", tare="0.100 kg"), b"ST,NT,+  1.234kg\r\n"),
    ("status-comma-no-mode", shown("1.234 kg"), b"ST,+001.234 kg\r\n"),
    ("header-columns", shown("25.42 lb"), b"ST    25.42 lb\r\n"),
    ("fixed-columns", shown("25.42 lb"), b"    25.42 lb S\r\n"),
    ("fixed-columns", shown("25.42 lb", State.MOVING), b"    25.42 lb  \r\n"),
    ("columns-moving-mark", shown("25.42 lb", State.MOVING), b"    25.42 lb ?\r\n"),
    ("plain-columns", shown("25.42 lb", State.OVER), b"   ^^^^^^   \r\n"),
    ("unit-when-steady", shown("29182 g"), b"         29182 g  \r\n"),
    ("unit-when-steady", shown("29182 g", State.MOVING), b"         29182    \r\n"),
    # Decimal position 4 = hundredths, step 1, bit 5; net, bit 5; pounds.
    ("status-block", shown("25.42 lb", tare="1.64 lb"), b"\x02\x2c\x21\x20  2542   164\r"),
    # Motion, negative and kilograms in the second status byte; thousandths in the first.
    ("status-block", shown("-1.640 kg", State.MOVING), b"\x02\x2d\x3a\x20  1640     0\r"),
    ("status-block-tens", shown("29180 g"), b"\x02\x29\x20\x21  2918     0\r"),
    ("short-stx", shown("-1.64 lb", State.MOVING), b"\x02-   1.64LGM\r\n"),
    ("bracketed-reply", shown("25.42 lb", State.MOVING), b"\n  25.42LB\r\nS10\r\x03"),
    ("bracketed-reply", shown("25 lb 10.2 oz"), b"\n 25lb 10.2oz\r\nS00\r\x03"),
    ("bracketed-reply", shown("0.00 lb", State.OVER), b"\n^^^^^^^LB\r\nS22\r\x03"),
    ("mnemonic-reply", shown("25.42 lb"), b"S S      25.42 lb\r\n"),
    ("mnemonic-reply", shown("12 lb 7.50 oz", State.MOVING), b"S D   12:07.50 lb:oz\r\n"),
    ("mnemonic-reply", shown("25.42 lb", State.OVER), b"S +\r\n"),
    (
        "ticket-lines",
        shown("24.44 lb", tare="1.20 lb"),
        b"Gross: 25.64 lb\r\nTare: 1.20 lb\r\nNet: 24.44 lb\r\n\r\n",
    ),
    ("pounds-ounces", shown("25 lb 10.2 oz"), b"   25 lb 10.2 oz\r\n"),
    ("pounds-ounces-glued", shown("-25 lb 10.2 oz"), b"-25lb10.2oz\r\n"),
    ("pounds-ounces-colon", shown("25 lb 6.2 oz"), b"  25:06.2\r\n"),
    (
        "comma-record-unchecked",
        shown("24.44 lb", tare="1.20 lb"),
        b"01,2026-06-18,06:01:02,ST,25.64,1.20,24.44,lb\r\n",
    ),
]


@pytest.mark.parametrize(("name", "display", "frame"), FRAMES)
def test_that_a_display_is_written_byte_for_byte(name: str, display: Shown, frame: bytes) -> None:
    assert voice(name).write(display) == frame


def test_that_a_checked_block_sums_to_nought_in_seven_bits() -> None:
    for count in range(-500, 3000, 7):
        display = Shown(mass=Mass(count, 2, Unit.LB), state=State.STEADY)
        block = voice("status-block-checked").write(display)
        assert len(block) == 18
        assert sum(block) & 0x7F == 0
        assert block[:-1] == voice("status-block").write(display)
    assert checksum(b"\x02") == 0x7E


def test_that_a_record_is_checked_by_the_exclusive_or_of_what_stands_before() -> None:
    assert xor_hex("") == "00"
    assert xor_hex("AB") == f"{0x41 ^ 0x42:02X}"
    display = shown("24.44 lb")
    for name, cut in (("comma-record", b"*"), ("comma-record-after-comma", b",*")):
        head, _, check = voice(name).write(display).strip().rpartition(cut)
        total = 0
        for byte in head:
            total ^= byte
        assert int(check, 16) == total


def test_that_every_voice_writes_every_state_in_every_unit_it_has() -> None:
    for each in VOICES:
        for unit in each.units:
            frames = {
                each.write(Shown(mass=Mass(2540, 2, unit), state=state)) for state in each.states
            }
            expected = len(each.states) if each.marks_steady else len(each.states) - 1
            assert len(frames) == expected, each.name


def scale(name: str, sending: Sending) -> PracticeScale:
    return PracticeScale(practice_setup(name, sending=sending), random.Random(7))


def sent(speaking: PracticeScale, to_s: float) -> bytes:
    return b"".join(frame for _, frame in speaking.frames_until(to_s))


def test_that_a_polled_scale_speaks_only_when_asked_and_once_a_question() -> None:
    speaking = scale("bracketed-reply", Sending.POLL)
    assert sent(speaking, 1.0) == b""
    speaking.hear(b"W")
    assert sent(speaking, 1.2) == b""
    speaking.hear(b"\r")
    assert sent(speaking, 1.4) == b"\n   0.00LB\r\nS20\r\x03"
    assert sent(speaking, 2.0) == b""


@pytest.mark.parametrize(
    ("name", "answer"),
    [("bracketed-reply", b"\n?\r\x03"), ("mnemonic-reply", b"ES\r\n"), ("status-comma", b"")],
)
def test_that_a_wrong_question_is_answered_as_the_family_does(name: str, answer: bytes) -> None:
    speaking = scale(name, Sending.POLL)
    speaking.hear(b"X\r")
    assert sent(speaking, 0.2) == answer


def test_that_a_question_with_parity_bits_is_understood() -> None:
    speaking = scale("mnemonic-reply", Sending.POLL)
    speaking.hear(bytes([0x53, 0xC9, 0x8D, 0x0A]))  # SI CR LF with even parity
    assert sent(speaking, 0.2) == b"S S       0.00 lb\r\n"


def test_that_the_print_key_prints_one_steady_frame_a_press() -> None:
    speaking = scale("status-comma", Sending.PRINT_KEY)
    speaking.put(Mass(1000, 2, Unit.LB))
    speaking.press_print()
    assert sent(speaking, 5.0) == b"ST,GS,+  10.00lb\r\n"
    assert sent(speaking, 8.0) == b""
    speaking.press_print()
    assert sent(speaking, 9.0) == b"ST,GS,+  10.00lb\r\n"


def test_that_a_stable_only_scale_sends_each_new_load_once() -> None:
    speaking = scale("status-comma", Sending.STABLE_ONLY)
    assert sent(speaking, 2.0) == b""
    speaking.put(Mass(1000, 2, Unit.LB))
    assert sent(speaking, 6.0) == b"ST,GS,+  10.00lb\r\n"
    speaking.put(Mass(500, 2, Unit.LB))
    assert sent(speaking, 10.0) == b"ST,GS,+  15.00lb\r\n"
    speaking.clear()
    assert sent(speaking, 15.0) == b""


def test_that_a_unit_a_voice_has_no_letters_for_is_refused() -> None:
    with pytest.raises(WorldFault, match=r"scale\.unit_not_spoken"):
        practice_setup("short-stx", Unit.LB_OZ)
    assert practice_setup("status-comma", Unit.LB_OZ).unit is Unit.LB_OZ
