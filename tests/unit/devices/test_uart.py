"""The simulated line against first principles: what is asserted was worked out by hand."""

from random import Random

import pytest
from uart import Line, Noise, Receiver, Setting, carried, levels

from shedstation.devices.languages.bits import Bits, with_top_bit

EVERY_BYTE = bytes(range(256))
TEXT = bytes(range(128))
SETTINGS_8 = ("8N1", "8N2", "8E1", "8O1")
SETTINGS_7 = ("7E1", "7O1", "7N2")


@pytest.mark.parametrize("baud", [1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200])
@pytest.mark.parametrize("bits", [*SETTINGS_8, *SETTINGS_7])
def test_that_equal_settings_give_equal_bytes(baud: int, bits: str) -> None:
    sent = EVERY_BYTE if bits in SETTINGS_8 else TEXT
    assert carried(sent, Setting(baud, bits), Setting(baud, bits)) == (sent, 0)


def test_that_a_frame_is_what_the_textbook_draws() -> None:
    # 'K' is 0x4B, 1001011 in binary: four ones. Sent lowest bit first between start and stop.
    assert levels(0x4B, "7E1") == (0, 1, 1, 0, 1, 0, 0, 1, 0, 1)
    assert levels(0x4B, "7O1") == (0, 1, 1, 0, 1, 0, 0, 1, 1, 1)
    assert levels(0x4B, "8N2") == (0, 1, 1, 0, 1, 0, 0, 1, 0, 1, 1)


@pytest.mark.parametrize(
    ("sent", "kind"), [("7E1", Bits.EVEN), ("7O1", Bits.ODD), ("7N2", Bits.MARK)]
)
def test_that_seven_bits_read_as_eight_have_their_parity_on_top(sent: str, kind: Bits) -> None:
    read, errors = carried(TEXT, Setting(9600, sent), Setting(9600, "8N1"))
    assert (read, errors) == (with_top_bit(TEXT, kind), 0)
    assert [byte & 0x7F for byte in read] == list(TEXT)
    ones = [byte.bit_count() % 2 for byte in read]
    wanted = {"7E1": [0] * 128, "7O1": [1] * 128, "7N2": [(b.bit_count() + 1) % 2 for b in TEXT]}
    assert ones == wanted[sent]


def test_that_a_second_stop_bit_is_just_a_pause() -> None:
    assert carried(EVERY_BYTE, Setting(9600, "8N2"), Setting(9600, "8N1")) == (EVERY_BYTE, 0)


def test_that_a_parity_bit_behind_eight_spoils_what_follows_unless_the_port_knows_it() -> None:
    text = b"   25.42 lb\r\n" * 3
    read, errors = carried(text, Setting(9600, "8E1"), Setting(9600, "8N1"))
    assert read != text
    assert errors > 0
    assert carried(text, Setting(9600, "8E1"), Setting(9600, "8E1")) == (text, 0)


def test_that_a_byte_whose_parity_is_wrong_is_passed_on_as_it_is() -> None:
    # 0x31 has three ones, so its even parity bit is 1; a port set to odd reads 1 where it wants 0.
    assert carried(b"1", Setting(9600, "8E1"), Setting(9600, "8O1")) == (b"1", 0)


def test_that_0x55_heard_at_half_the_speed_gives_every_second_level() -> None:
    # 0x55 is 0 10101010 1 on the line. At half the speed a bit is two of them wide and is sampled where
    # the second begins: 1 where the start bit should be, so there is no start bit at any falling edge.
    assert carried(b"\x55", Setting(9600), Setting(4800)) == (b"", 0)
    # 0x33 is 0 11001100 1, falling at bits 0, 3 and 7. From 0 the start is sampled at 1: high, none.
    # From 3 it is low at 4; then 6 is high, 8 low, and the line from 9 on high: 1 0 111111.
    assert carried(b"\x33", Setting(9600), Setting(4800)) == (b"\xfd", 0)


def test_that_0x55_heard_at_double_the_speed_gives_each_level_twice() -> None:
    # Half bits: 00 11 00 11 00 11 00 11 00 1... The start is the first; then 0 1 1 0 0 1 1 0 and a low
    # stop bit, the tenth half bit, which is taken for a start: 1 1 0 0 1 1 0 0, and a high stop bit.
    assert carried(b"\x55", Setting(9600), Setting(19200)) == (b"\x66\x33", 1)


def test_that_a_break_is_one_zero_byte() -> None:
    line = Line(toggles=[100, 100 + 24 * 50])
    end = Receiver(line, Setting(9600))
    assert [byte for _, byte in end.received(1.0)] == [0]
    assert end.framing_errors == 1


def test_that_a_short_dip_is_no_start_bit() -> None:
    line = Line(toggles=[100, 104])
    assert list(Receiver(line, Setting(9600)).received(1.0)) == []


def test_that_bytes_come_when_their_stop_bits_do() -> None:
    line = Line()
    assert line.send(Setting(1200), 1.0, b"AB") == pytest.approx(1.0 + 20 / 1200)
    times = [at_s for at_s, _ in Receiver(line, Setting(1200)).received(2.0)]
    assert times == pytest.approx([1.0 + 9.5 / 1200, 1.0 + 19.5 / 1200])


def test_that_a_receiver_can_be_asked_bit_by_bit() -> None:
    line = Line()
    line.send(Setting(2400, "7E1"), 0.0, TEXT)
    end = Receiver(line, Setting(2400))
    read = [byte for step in range(1, 2000) for _, byte in end.received(step / 1000)]
    assert bytes(read) == with_top_bit(TEXT, Bits.EVEN)


@pytest.mark.parametrize(("sender", "receiver"), [(9600, 4800), (4800, 9600), (2400, 115200)])
def test_that_a_wrong_speed_never_gives_the_text(sender: int, receiver: int) -> None:
    text = b"ST,GS,+  25.42lb\r\n" * 5
    read, _ = carried(text, Setting(sender), Setting(receiver))
    assert b"25.42" not in read


def test_that_noise_flips_and_loses_what_it_is_told_to() -> None:
    sent = bytes(Random(3).choices(range(128), k=4000))
    clean = carried(sent, Setting(9600), Setting(9600), Noise(Random(1)))
    assert clean == (sent, 0)
    lossy, errors = carried(sent, Setting(9600), Setting(9600), Noise(Random(1), lost=0.1))
    assert 3500 < len(lossy) < 3700
    assert errors == 0
    bent, errors = carried(sent, Setting(9600), Setting(9600), Noise(Random(1), flipped=0.02))
    assert errors > 0
    assert bent != sent
