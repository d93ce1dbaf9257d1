"""Registers and reports of scales against the published protocols."""

import pytest

from shedstation.devices.languages.reading import read_frame
from shedstation.devices.languages.registers import RegisterMap, register_language
from shedstation.devices.languages.reports import STATUS, UNITS
from shedstation.devices.languages.rows import language
from shedstation.domain.mass import Unit
from shedstation.domain.reading import BadFrame, Mode, Reading, State

# ---- Modbus over serial line, specification and implementation guide V1.02 (modbus.org), 2.5.1.2 and
# appendix B: polynomial 0xA001 (reflected), start value 0xFFFF, low byte first.


def crc16(data: bytes) -> bytes:
    """Compute the check bit by bit, as appendix B describes it."""
    crc = 0xFFFF
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = crc >> 1 ^ 0xA001 if crc & 1 else crc >> 1
    return crc.to_bytes(2, "little")


def test_that_the_check_is_that_of_the_guide() -> None:
    # Appendix B: the check of the bytes 02 07 is 1241 hexadecimal, sent as 41 12.
    assert crc16(b"\x02\x07").hex() == "4112"


@pytest.mark.parametrize(
    ("where", "asked"),
    [
        # Requests printed in many public Modbus tutorials; the check also follows from the guide.
        (RegisterMap(first=0, status=9), "01 03 00 00 00 0A C5 CD"),
        (RegisterMap(device=17, first=107, decimals=2, status=2), "11 03 00 6B 00 03 76 87"),
        (RegisterMap(first=0), "01 03 00 00 00 04 44 09"),
    ],
)
def test_that_registers_are_asked_for_as_published(where: RegisterMap, asked: str) -> None:
    ask = register_language("asked", where).ask
    assert ask == bytes.fromhex(asked)
    assert ask is not None
    assert crc16(ask[:-2]) == ask[-2:]


def answer(registers: list[int], device: int = 1) -> bytes:
    """Write an answer as the application protocol (V1.1b3, 6.3) lays it out."""
    body = bytes([device, 3, 2 * len(registers)])
    body += b"".join(each.to_bytes(2, "big") for each in registers)
    return body + crc16(body)


@pytest.mark.parametrize(
    ("registers", "mass", "state", "mode"),
    [
        ([0, 2542, 2, 0x0100], "25.42 lb", State.STEADY, Mode.GROSS),
        ([0, 11340, 3, 0x0009], "11.340 kg", State.MOVING, Mode.NET),
        ([0xFFFF, 0xFF5C, 2, 0x0100], "-1.64 lb", State.STEADY, Mode.GROSS),
        ([1, 0, 0, 0x0200], "65536 g", State.STEADY, Mode.GROSS),
        ([0, 0, 2, 0x0002], None, State.OVER, Mode.GROSS),
        ([0, 0, 2, 0x0004], None, State.UNDER, Mode.GROSS),
        ([0, 2542, 2, 0x0010], None, State.FAULT, Mode.GROSS),
    ],
)
def test_that_registers_are_read(
    registers: list[int], mass: str | None, state: State, mode: Mode
) -> None:
    found = read_frame(language("modbus-registers"), 0.0, answer(registers))
    assert isinstance(found, Reading)
    assert (None if found.mass is None else str(found.mass)) == mass
    assert (found.state, found.mode) == (state, mode)
    swapped = [registers[1], registers[0], *registers[2:]]
    other = read_frame(language("modbus-registers-low-first"), 0.0, answer(swapped))
    assert other == found


def test_that_a_damaged_answer_is_no_reading() -> None:
    frame = answer([0, 2542, 2, 0x0100])
    for place in range(len(frame)):
        for bit in range(8):
            damaged = bytearray(frame)
            damaged[place] ^= 1 << bit
            found = read_frame(language("modbus-registers"), 0.0, bytes(damaged))
            assert isinstance(found, BadFrame)


def test_that_words_the_other_way_round_are_no_reading_either() -> None:
    found = read_frame(language("modbus-registers-low-first"), 0.0, answer([0, 2542, 2, 0x0100]))
    assert isinstance(found, BadFrame)


def test_that_an_answer_over_tcp_has_the_published_head() -> None:
    # Modbus messaging on TCP/IP implementation guide V1.0b, 3.1.3: transaction, protocol 0, length, unit.
    spoken = language("modbus-tcp-registers")
    assert spoken.ask == bytes.fromhex("0001 0000 0006 01 03 0000 0004")
    frame = bytes.fromhex("0001 0000 000B 01 03 08 0000 09EE 0002 0100")
    found = read_frame(spoken, 0.0, frame)
    assert isinstance(found, Reading)
    assert str(found.mass) == "25.42 lb"


# ---- USB HID Point of Sale usage tables 1.02, usage page 0x8D: scale status 0x71 to 0x78 and units
# 0x51 to 0x5C, sent as their place in the list. The two worked buffers were published in public threads
# together with what the display showed.


@pytest.mark.parametrize(
    ("report", "mass"),
    [("03 04 0C FE 11 03", "7.85 lb"), ("03 04 0B FF 6F 04", "113.5 oz")],
)
def test_that_reports_are_read_as_their_owners_saw_them(report: str, mass: str) -> None:
    found = read_frame(language("hid-weighing"), 0.0, bytes.fromhex(report))
    assert isinstance(found, Reading)
    assert str(found.mass) == mass
    assert found.state is State.STEADY


def test_that_status_codes_are_those_of_the_usage_page() -> None:
    published = [
        "fault", "stable at centre of zero", "in motion", "weight stable", "under zero",
        "over weight limit", "requires calibration", "requires re-zeroing",
    ]  # fmt: skip
    meant = {
        "fault": State.FAULT, "stable at centre of zero": State.STEADY, "in motion": State.MOVING,
        "weight stable": State.STEADY, "under zero": State.UNDER, "over weight limit": State.OVER,
        "requires calibration": State.FAULT, "requires re-zeroing": State.FAULT,
    }  # fmt: skip
    assert {n: meant[each] for n, each in enumerate(published, start=1)} == STATUS


def test_that_unit_codes_are_those_of_the_usage_page() -> None:
    published = [
        "milligram", "gram", "kilogram", "carat", "tael", "grain", "pennyweight", "metric ton",
        "avoir ton", "troy ounce", "ounce", "pound",
    ]  # fmt: skip
    ours = {"gram": Unit.G, "kilogram": Unit.KG, "ounce": Unit.OZ, "pound": Unit.LB}
    numbered = {n: ours[each] for n, each in enumerate(published, start=1) if each in ours}
    assert numbered == UNITS
    for code in range(1, 13):
        found = read_frame(language("hid-weighing"), 0.0, bytes([3, 4, code, 0xFE, 1, 0]))
        assert isinstance(found, Reading) == (code in UNITS)
