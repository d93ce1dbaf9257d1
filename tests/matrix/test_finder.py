"""The search for a scale, over a simulated line: right where that can be, never sure and wrong."""

from collections import Counter
from collections.abc import Iterator
from functools import cache
from itertools import product
from random import Random

import pytest
from matrix.displays import at_rest, empty, moves, overloaded
from matrix.modbus_module import ModbusModule
from matrix.searching import Hidden, Searched, search, silent
from matrix.wire import WireScale
from uart import Noise, Setting

from shedstation.devices.languages.language import Wire
from shedstation.devices.languages.rows import language
from shedstation.devices.practice.sending import Sending
from shedstation.devices.practice.voices.shown import Shown
from shedstation.devices.practice.voices.table import VOICES, voice
from shedstation.devices.practice.voices.voice import SIMPLE_UNITS, Voice
from shedstation.domain.mass import Unit
from shedstation.domain.scale_found import Found, Sure

BAUDS = (9600, 2400, 4800, 19200, 1200, 38400, 57600, 115200)
BITS = ("8N1", "7E1", "8E1", "7O1", "8N2", "7N2", "8O1")
LONGEST_S = 20.0

MARKED_LATE = {"plain-columns", "columns-moving-mark", "unit-when-steady", "pounds-ounces"}
"""Of a load at rest they send what their relatives send too: undecidable until it moves."""

READ_ALIKE = {"8N2": "8N1", "8O1": "8E1"}
"""Settings that give the same bytes."""


def cases() -> Iterator[Hidden]:
    """Give every voice with every kind of bits in every way of sending; units and speeds in turn."""
    for (at, each), (kind, bits) in product(enumerate(VOICES), enumerate(BITS)):
        for way, sending in enumerate(Sending):
            if each.prints_only and sending is Sending.STREAM:
                continue
            turn = at * 5 + kind * 3 + way + (at + kind) // 8
            unit = each.units[(turn + kind) % len(each.units)]
            yield Hidden(each, unit, sending, Setting(BAUDS[turn % 8], bits))


CASES = tuple(cases())


@cache
def searched(case: Hidden) -> Searched:
    # A load that is sent once when it comes to rest is changed every few seconds, by hand.
    slow = case.sending is Sending.STABLE_ONLY
    return case.search(moves(case.unit), least_s=0.5 if slow else 0.1)


def is_right(case: Hidden, found: Found) -> bool:
    bits = READ_ALIKE.get(case.setting.bits, case.setting.bits)
    return (found.language, found.baud, found.bits) == (
        case.voice.language,
        case.setting.baud,
        bits,
    )


def names(found: Found) -> set[str]:
    """Give the names of all sentences."""
    return {each.name for each in (*found.why, *found.to_try)}


def doubt(case: Hidden) -> str | None:
    """Give the sentence that must say why nobody can be sure; none where it can be decided."""
    if case.sending is Sending.POLL and language(case.voice.language).ask is None:
        return "find.silent" if case.voice.question != b"W\r" else "find.answers_only"
    by_hand = case.sending in {Sending.PRINT_KEY, Sending.STABLE_ONLY}
    return "find.marks_unseen" if by_hand and case.voice.language in MARKED_LATE else None


def verdict(case: Hidden) -> str:
    """Sort an outcome: right, not sure for the right reason, or wrong."""
    found, why = searched(case).found, doubt(case)
    if why is None:
        sure = (
            {Sure.SURE}
            if case.sending in {Sending.STREAM, Sending.POLL}
            else {Sure.SURE, Sure.LIKELY}
        )
        return "right" if is_right(case, found) and found.sure in sure else "wrong"
    if why == "find.marks_unseen":
        among = case.voice.language in {found.language, *found.others}
        honest = among and found.sure is Sure.LIKELY and found.baud == case.setting.baud
    else:
        honest = found.language is None
    return "not sure" if honest and why in names(found) else "wrong"


@pytest.mark.parametrize("each", VOICES, ids=lambda voice: voice.name)
def test_that_a_scale_is_found_wherever_that_can_be_decided(each: Voice) -> None:
    for case in CASES:
        if case.voice is each:
            told = f"{case}: {searched(case).found}"
            assert verdict(case) == ("right" if doubt(case) is None else "not sure"), told
            assert searched(case).found.by_key == (
                case.sending in {Sending.PRINT_KEY, Sending.STABLE_ONLY}
            ), told


def test_that_nothing_is_ever_sent_by_a_search_that_only_listens() -> None:
    for case in CASES:
        if case.sending is not Sending.POLL:
            assert searched(case).written == b"", str(case)


STREAMED = [each for each in VOICES if not each.prints_only]


@pytest.mark.parametrize("bits", BITS)
@pytest.mark.parametrize("each", STREAMED, ids=lambda voice: voice.name)
def test_that_a_slow_stream_is_found_in_time(each: Voice, bits: str) -> None:
    """Two readings a second at 1200 baud, and at the speed that is tried last."""
    for baud in (1200, 115200):
        case = Hidden(each, each.units[0], Sending.STREAM, Setting(baud, bits))
        result = case.search(moves(case.unit), least_s=0.5)
        assert is_right(case, result.found), f"{case}: {result}"
        assert result.found.sure is Sure.SURE, f"{case}: {result}"
        assert result.took_s <= LONGEST_S, f"{case}: {result.took_s}"


def test_that_a_stream_is_found_in_time() -> None:
    took = {str(c): searched(c).took_s for c in CASES if c.sending is Sending.STREAM}
    assert max(took.values()) <= LONGEST_S


def test_that_the_search_is_right_as_often_as_promised(capsys: pytest.CaptureFixture[str]) -> None:
    counts = Counter(verdict(case) for case in CASES)
    decidable = sum(doubt(case) is None for case in CASES)
    falsely = sum(
        searched(case).found.sure is Sure.SURE and not is_right(case, searched(case).found)
        for case in CASES
    )
    times = sorted(searched(c).took_s for c in CASES if c.sending is Sending.STREAM)
    with capsys.disabled():
        print(
            f"\nfinder: {len(CASES)} combinations, {decidable} decidable, {counts['right']} right,"
            f" {counts['not sure']} not sure, {counts['wrong']} wrong, {falsely} sure and wrong;"
            f" streams in {times[len(times) // 2]:.1f} s (median), {times[-1]:.1f} s (longest)"
        )
    assert len(CASES) >= 300
    assert counts["right"] == decidable
    assert counts["wrong"] == falsely == 0
    assert {(c.voice.language, c.setting.bits) for c in CASES} == {
        (each.language, bits) for each in VOICES for bits in BITS
    }


# ---- what cannot be decided, and says so


@pytest.mark.parametrize("each", STREAMED, ids=lambda voice: voice.name)
def test_that_a_load_that_never_moves_is_no_proof_of_a_language_without_marks(each: Voice) -> None:
    case = Hidden(each, each.units[0], Sending.STREAM, Setting(9600, "7E1"))
    found = case.search(at_rest(case.unit)).found
    if each.language in MARKED_LATE:
        assert found.sure is Sure.LIKELY
        assert each.language in {found.language, *found.others}
        assert {"find.marks_unseen", "find.try_load"} <= names(found)
    else:
        assert is_right(case, found)
        assert found.sure is Sure.SURE


@pytest.mark.parametrize(
    "each", [x for x in STREAMED if x.name != "columns-moving-mark-m"], ids=lambda voice: voice.name
)
def test_that_nobody_is_sure_of_a_scale_that_only_says_over(each: Voice) -> None:
    case = Hidden(each, each.units[0], Sending.STREAM, Setting(4800, "7E1"))
    found = case.search(overloaded(case.unit)).found
    assert found.sure in {Sure.NOT_SURE, Sure.NOTHING}
    if found.language is not None:
        assert each.language in {found.language, *found.others}
        assert (found.baud, found.bits) == (4800, "7E1")
        assert "find.no_weight" in names(found)


# ---- registers

MODULES = [("modbus-registers", False), ("modbus-registers-low-first", True)]


@pytest.mark.parametrize(("name", "low_first"), MODULES)
@pytest.mark.parametrize("bits", ["8N1", "8N2", "8E1", "8O1"])
@pytest.mark.parametrize("unit", SIMPLE_UNITS, ids=lambda unit: unit.value)
def test_that_a_module_is_found_by_asking(
    name: str, low_first: bool, bits: str, unit: Unit
) -> None:
    baud = BAUDS[(len(unit.value) + BITS.index(bits)) % 6]
    module = ModbusModule(low_first=low_first)
    result = search(silent(module, Setting(baud, bits), moves(unit)), ask=True)
    assert (result.found.language, result.found.baud) == (name, baud)
    assert result.found.bits in {bits, READ_ALIKE.get(bits), "8N1"}
    assert result.found.sure is Sure.SURE


@pytest.mark.parametrize(("name", "low_first"), MODULES)
def test_that_a_module_on_the_network_is_found_by_asking(name: str, low_first: bool) -> None:
    module = ModbusModule(low_first=low_first, over_tcp=True)
    scale = silent(module, Setting(115200), moves(Unit.LB))
    result = search(scale, ask=True, wire=Wire.NETWORK)
    assert result.found.language == name.replace("modbus", "modbus-tcp")
    assert (result.found.sure, result.found.baud) == (Sure.SURE, None)


@pytest.mark.parametrize(("name", "low_first"), MODULES)
def test_that_nobody_knows_the_order_of_words_that_are_all_nought(
    name: str, low_first: bool
) -> None:
    module = ModbusModule(low_first=low_first)
    found = search(silent(module, Setting(9600), empty(Unit.KG)), ask=True).found
    assert found.sure is Sure.NOT_SURE
    assert name in {found.language, *found.others}
    assert "find.rivals" in names(found)


# ---- no scale


class Says:
    """Sends the same at each update, whatever is shown."""

    def __init__(self, *texts: bytes) -> None:
        self._texts = texts
        self._number = -1

    def hear(self, data: bytes) -> None:
        del data

    def say(self, shown: Shown) -> list[bytes]:
        del shown
        self._number += 1
        return [self._texts[self._number % len(self._texts)]] if self._texts else []


def line_of(setting: Setting, *texts: bytes, period_s: float = 0.25) -> WireScale:
    return WireScale(Says(*texts), setting, at_rest(Unit.LB), period_s)


@pytest.mark.parametrize("ask", [False, True])
def test_that_silence_is_called_silence(ask: bool) -> None:
    result = search(line_of(Setting()), ask=ask)
    assert result.found.sure is Sure.NOTHING
    assert names(result.found) == {
        "find.silent", "find.try_print", "find.try_cable", "find.try_ask", "find.try_settings",
    }  # fmt: skip
    assert bool(result.written) is ask


def test_that_a_scale_that_waits_to_be_asked_is_silence_to_a_search_that_only_listens() -> None:
    scale = silent(ModbusModule(), Setting(9600), moves(Unit.LB))
    result = search(scale)
    assert (result.found.sure, result.written) == (Sure.NOTHING, b"")
    assert "find.try_ask" in names(result.found)


CONSOLE = (b"\r\nWelcome to box7\r\n", b"box7 login: ", b"\r\nbox7 login: ")


@pytest.mark.parametrize("baud", [9600, 115200])
def test_that_a_console_is_called_one_and_is_never_asked(baud: int) -> None:
    result = search(line_of(Setting(baud), *CONSOLE), ask=True)
    assert (result.found.sure, result.written) == (Sure.NOTHING, b"")
    assert {"find.console", "find.try_console"} <= names(result.found)


UNKNOWN = (b"<W>0025.42;A</W>\r\n", b"<W>0025.40;B</W>\r\n", b"<W>0013.07;B</W>\r\n")


@pytest.mark.parametrize(("baud", "bits"), [(9600, "8N1"), (1200, "7E1"), (115200, "7O1")])
def test_that_unknown_text_is_shown_and_can_be_taught(baud: int, bits: str) -> None:
    found = search(line_of(Setting(baud, bits), *UNKNOWN)).found
    assert found.sure is Sure.NOTHING
    assert names(found) == {"find.unknown_text", "find.try_teach"}
    (why,) = found.why
    assert "<W>0025.4" in str(why.values["shown"])


@pytest.mark.parametrize("seed", range(12))
def test_that_garbage_is_no_scale_at_any_speed(seed: int) -> None:
    dice = Random(seed)
    texts = [dice.randbytes(dice.randint(5, 40)) for _ in range(50)]
    found = search(line_of(Setting(BAUDS[seed % 8]), *texts)).found
    assert found.sure is Sure.NOTHING, found
    assert {"find.garbled", "find.try_cable"} <= names(found) or "find.unknown_text" in names(found)


@pytest.mark.parametrize("each", STREAMED, ids=lambda voice: voice.name)
def test_that_a_bad_line_leads_to_no_wrong_finding(each: Voice) -> None:
    """One byte in fifty bent, one in fifty lost."""
    case = Hidden(each, each.units[0], Sending.STREAM, Setting(9600, "7E1"))
    noise = Noise(Random(each.name), flipped=0.02, lost=0.02)
    found = case.search(moves(case.unit), noise=noise).found
    assert found.language in {None, each.language} or each.language in found.others
    assert found.sure is not Sure.SURE or is_right(case, found)


def test_that_a_scale_that_answers_otherwise_is_named() -> None:
    case = Hidden(voice("status-comma"), Unit.LB, Sending.POLL, Setting(9600, "7E1"))
    found = case.search(moves(Unit.LB)).found
    assert found.sure is Sure.NOTHING
    assert found.why[0].values == {"language": "status-comma"}
