"""Every voice at many settings in every way of sending, over a simulated line: no wrong reading."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import pytest
from matrix.displays import displays, displays_for
from matrix.modbus_module import ModbusModule
from matrix.wire import WireScale, chunks_of, period_of
from uart import Setting

from shedstation.devices.capture import Chunk
from shedstation.devices.languages.bits import Bits, with_top_bit
from shedstation.devices.languages.decode import Decoder
from shedstation.devices.languages.language import Language
from shedstation.devices.languages.recognise import candidates
from shedstation.devices.languages.reports import STATUS, UNITS
from shedstation.devices.languages.rows import language
from shedstation.devices.lines.opening import top_bits
from shedstation.devices.practice.sending import Sending, Speaker
from shedstation.devices.practice.voices.shown import Shown
from shedstation.devices.practice.voices.table import VOICES
from shedstation.devices.practice.voices.voice import SIMPLE_UNITS, Voice
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import BadFrame, Mode, Reading, State

BAUDS = (9600, 2400, 4800, 19200, 1200, 38400, 57600, 115200)
BITS = ("8N1", "7E1", "8E1", "7O1", "8N2", "7N2")
STREAMS = 2
"""So many settings are tried with each streaming voice and unit; one with each other way of sending."""

Said = tuple[Mass | None, State, Mode, Mass | None]


@dataclass(frozen=True)
class Case:
    voice: Voice
    unit: Unit
    sending: Sending
    setting: Setting

    def __str__(self) -> str:
        speed = f"{self.setting.baud} {self.setting.bits}"
        return f"{self.voice.name}, {self.unit.value}, {self.sending.value}, {speed}"


def cases() -> Iterator[Case]:
    """Give each voice in each unit in each way of sending, the settings taken in turn."""
    turn: Counter[str] = Counter()
    for voice in VOICES:
        for unit in voice.units:
            for sending in Sending:
                if voice.prints_only and sending is Sending.STREAM:
                    continue
                for _ in range(STREAMS if sending is Sending.STREAM else 1):
                    number = turn[voice.language]
                    turn[voice.language] += 1
                    bits, baud = BITS[(number + number // 24) % 6], BAUDS[number % 8]
                    yield Case(voice, unit, sending, Setting(baud, bits))


CASES = tuple(cases())


def expected(voice: Voice, shown: Shown) -> Said:
    """Give what a station can know of a display from what a voice says."""
    mode = shown.mode if voice.tells_mode else Mode.UNKNOWN
    tare = shown.tare if voice.tells_tare else None
    if not shown.has_digits:
        told = not voice.language.startswith("comma-record")  # its mode is seen in the weights
        return None, shown.state, mode if told else Mode.UNKNOWN, None
    state = shown.state if voice.marks_steady or voice.prints_only else State.UNKNOWN
    return shown.mass, state, mode, tare


def heard_at(setting: Setting) -> Setting:
    """Give how the station opens a port for a scale: the port checks only parity behind eight bits."""
    return Setting(setting.baud, setting.bits if setting.bits in {"8E1", "8O1"} else "8N1")


def played(case: Case) -> WireScale:
    """Let a scale show all its displays, asked or with its print key pressed as it needs it."""
    shown = displays_for(case.voice, case.unit)
    longest = max(len(case.voice.write(each)) for each in shown)
    speaker = Speaker(case.voice, case.sending)
    period_s = period_of(case.setting, longest)

    def before(number: int, shown: Shown) -> None:
        if case.sending is Sending.PRINT_KEY and number % 3 == 0:
            speaker.press_print()
        if case.sending is Sending.POLL and (
            shown.state is State.STEADY or not case.voice.prints_only
        ):
            asked = with_top_bit(case.voice.question, top_bits(case.setting.bits) or Bits.PLAIN)
            at_s = scale.next_s - 0.9 * scale.period_s
            scale.from_host.send(heard_at(case.setting), at_s, asked)

    scale = WireScale(speaker, case.setting, shown, period_s, before=before)
    scale.play(period_s * len(shown))
    return scale


def read_by(spoken: Language, chunks: list[Chunk]) -> list[Reading | BadFrame]:
    """Read as a station does that knows the language, the top bits found from the bytes."""
    (found,) = candidates(chunks, (spoken,))
    decoder = Decoder(spoken, found.bits)
    events = [event for chunk in chunks for event in decoder.feed(chunk.at_s, chunk.data)]
    return [*events, *decoder.finish()]


def said(event: Reading | BadFrame) -> Said | bytes:
    if isinstance(event, BadFrame):
        return event.raw
    return event.mass, event.state, event.mode, event.tare


@cache
def outcome(case: Case) -> tuple[list[Said | bytes], list[Said]]:
    """Give what was read and what should have been."""
    scale = played(case)
    spoken = language(case.voice.language)
    events = read_by(spoken, chunks_of(scale.to_host, heard_at(case.setting)))
    wanted = [expected(case.voice, each) for each in scale.sent]
    return [said(each) for each in events], wanted if spoken.shows_its_start else wanted[1:]


@pytest.mark.parametrize("voice", VOICES, ids=lambda voice: voice.name)
def test_that_every_reading_is_what_the_scale_showed(voice: Voice) -> None:
    for case in CASES:
        if case.voice is voice:
            got, wanted = outcome(case)
            assert len(wanted) >= 3, str(case)
            assert got == wanted, str(case)


@dataclass(frozen=True)
class ModuleCase:
    """A module on a Modbus line: it only ever answers."""

    language: str
    unit: Unit
    setting: Setting

    @property
    def module(self) -> ModbusModule:
        low_first, over_tcp = "low-first" in self.language, "tcp" in self.language
        return ModbusModule(low_first=low_first, over_tcp=over_tcp)

    def __str__(self) -> str:
        return f"{self.language}, {self.unit.value}, {self.setting.baud} {self.setting.bits}"


MODULE_CASES = [
    ModuleCase(name, unit, Setting(baud, bits))
    for name in ("modbus-registers", "modbus-registers-low-first")
    for unit in SIMPLE_UNITS
    for baud, bits in zip((9600, 19200, 1200), ("8E1", "8N1", "8N2"), strict=True)
]
NETWORK_CASES = [
    ModuleCase(name, unit, Setting(115200))
    for name in ("modbus-tcp-registers", "modbus-tcp-registers-low-first")
    for unit in SIMPLE_UNITS
]
"""On a network line the speed is of no matter; a fast one stands for it."""

REPORT_UNITS = tuple(UNITS.values())


def answered(case: ModuleCase) -> WireScale:
    """Ask a module once for each display."""
    ask = language(case.language).ask or b""

    def before(number: int, shown: Shown) -> None:
        del number, shown
        at_s = scale.next_s - 0.9 * scale.period_s
        scale.from_host.send(heard_at(case.setting), at_s, ask)

    shown = list(displays(case.unit))
    scale = WireScale(case.module, case.setting, shown, period_of(case.setting, 20), before=before)
    scale.play(scale.period_s * len(shown))
    return scale


@pytest.mark.parametrize("case", [*MODULE_CASES, *NETWORK_CASES], ids=str)
def test_that_registers_are_read_as_the_module_showed(case: ModuleCase) -> None:
    scale = answered(case)
    chunks = chunks_of(scale.to_host, heard_at(case.setting))
    wanted = [
        (shown.mass if shown.has_digits else None, shown.state, shown.mode, None)
        for shown in scale.sent
    ]
    assert len(wanted) > 40
    assert [said(event) for event in read_by(language(case.language), chunks)] == wanted


def reported(shown: Shown) -> bytes:
    """Write a display as the usual data report of a weighing device (HID usage page 0x8D)."""
    status = next(code for code, state in STATUS.items() if state is shown.state)
    unit = next(code for code, unit in UNITS.items() if unit is shown.mass.unit)
    exponent = (-shown.mass.decimals).to_bytes(1, "little", signed=True)
    count = shown.mass.count if shown.has_digits else 0
    return bytes([3, status, unit]) + exponent + count.to_bytes(2, "little")


@pytest.mark.parametrize("unit", REPORT_UNITS, ids=lambda unit: unit.value)
def test_that_reports_are_read_as_the_device_showed(unit: Unit) -> None:
    # A report has no sign: what is under zero comes as a status of its own, not as a weight.
    shown = [each for each in displays(unit) if each.mass.count >= 0 or not each.has_digits]
    chunks = [Chunk(float(at), reported(each)) for at, each in enumerate(shown)]
    wanted = [
        (each.mass if each.has_digits else None, each.state, Mode.UNKNOWN, None) for each in shown
    ]
    assert [said(event) for event in read_by(language("hid-weighing"), chunks)] == wanted


def test_that_the_matrix_is_as_large_as_promised(capsys: pytest.CaptureFixture[str]) -> None:
    every = len(CASES) + len(MODULE_CASES) + len(NETWORK_CASES) + len(REPORT_UNITS)
    wrong = sum(outcome(case)[0] != outcome(case)[1] for case in CASES)
    readings = sum(len(outcome(case)[1]) for case in CASES)
    with capsys.disabled():
        print(f"\nreaders: {every} combinations, {readings} readings, {wrong} combinations wrong")
    assert every >= 300
    assert wrong == 0
    for name in {case.voice.language for case in CASES}:
        settings = [case.setting for case in CASES if case.voice.language == name]
        assert {each.bits for each in settings} == set(BITS), name
        assert {each.baud for each in settings} == set(BAUDS), name
