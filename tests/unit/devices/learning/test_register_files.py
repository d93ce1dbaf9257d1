"""Files that say where a weighing module keeps its weight: read, refused, taken over."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedstation.bootstrap.teaching import known_languages
from shedstation.devices.languages.reading import read_frame
from shedstation.devices.languages.registers import RegisterMap, register_language
from shedstation.devices.learning.register_file import (
    RegisterFile,
    adopt_registers,
    read_registers,
    register_languages,
)
from shedstation.domain.errors import WorldFault
from shedstation.domain.reading import Mode, Reading, State

# An invented module: weight in registers 4 (low) and 5 (high), hundredths of a kilogram, status in 0.
GOOD = """form = 1
name = "bench-module"
over = "serial"
device = 17
function = 4
first = 100
high_word = 5
low_word = 4
unit = "kg"
decimals = 2
status = 0
moving = 7
over_range = 3
net = 1
"""


def written(tmp_path: Path, text: str, name: str = "module.registers.toml") -> Path:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def answer(registers: list[int]) -> bytes:
    """Write what the module answers, with the check that pymodbus gives an equal request's answer."""
    from pymodbus.framer import FramerRTU  # noqa: PLC0415  # only here
    from pymodbus.pdu import DecodePDU  # noqa: PLC0415  # only here
    from pymodbus.pdu.register_message import ReadInputRegistersResponse  # noqa: PLC0415  # only here

    made = ReadInputRegistersResponse(registers=registers, dev_id=17)
    return FramerRTU(DecodePDU(is_server=False)).buildFrame(made)


def test_that_a_modules_own_registers_are_asked_for_and_read(tmp_path: Path) -> None:
    spoken = read_registers(written(tmp_path, GOOD))
    assert spoken.name == "bench-module"
    assert spoken.ask is not None
    assert spoken.ask[:6] == bytes.fromhex("11 04 0064 0006")
    for registers, mass, state, mode in (
        ([0x0000, 0, 0, 0, 1134, 0], "11.34 kg", State.STEADY, Mode.GROSS),
        ([0x0082, 0, 0, 0, 0xFF5C, 0xFFFF], "-1.64 kg", State.MOVING, Mode.NET),
        ([0x0008, 0, 0, 0, 1134, 0], None, State.OVER, Mode.GROSS),
    ):
        found = read_frame(spoken, 0.0, answer(registers))
        assert isinstance(found, Reading)
        assert (None if found.mass is None else str(found.mass)) == mass
        assert (found.state, found.mode) == (state, mode)


def test_that_a_module_of_one_register_without_status_is_judged_by_time(tmp_path: Path) -> None:
    text = GOOD.replace("high_word = 5\n", "").replace("low_word = 4", "low_word = 0")
    bare = "".join(
        line
        for line in text.splitlines(keepends=True)
        if not line.startswith(("status", "moving", "over_range", "net"))
    )
    found = read_frame(read_registers(written(tmp_path, bare)), 0.0, answer([0xFF5C]))
    assert isinstance(found, Reading)
    assert (str(found.mass), found.state, found.mode) == ("-1.64 kg", State.UNKNOWN, Mode.UNKNOWN)


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("device = 17", "device = 300", "device"),
        ("device = 17", "device = true", "device"),
        ('unit = "kg"', 'unit = "stone"', "unit"),
        ('name = "bench-module"', 'name = "../x"', "name"),
        ("low_word = 4", "", "low_word"),
        ("net = 1", "net = 16", "net"),
        ("net = 1", "port = 'x'", "port"),
        ("decimals = 2", "decimals = 2\ndecimals_at = 3", "two_decimals"),
        ("status = 0\n", "", "no_status"),
        ("form = 1", "form = [", "file_toml"),
    ],
)
def test_that_a_bad_file_is_refused_with_what_is_wrong(
    tmp_path: Path, before: str, after: str, said: str
) -> None:
    with pytest.raises(WorldFault) as raised:
        read_registers(written(tmp_path, GOOD.replace(before, after)))
    assert said in str(raised.value.message)
    told: list[WorldFault] = []
    assert register_languages(tmp_path, told.append) == ()
    assert len(told) == 1


def test_that_a_file_is_taken_over_once_and_known_then(tmp_path: Path) -> None:
    came, mine = written(tmp_path, GOOD), tmp_path / "mine"
    assert adopt_registers(came, mine) == "bench-module"
    assert "bench-module" in {each.name for each in known_languages(mine)}
    with pytest.raises(WorldFault, match="name_taken"):
        adopt_registers(came, mine)


@given(st.text(max_size=200), st.integers(0, len(GOOD)))
def test_that_no_text_breaks_the_reader(text: str, place: int) -> None:
    import tempfile  # noqa: PLC0415  # hypothesis shares fixtures between examples

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "x.registers.toml"
        path.write_bytes((GOOD[:place] + text + GOOD[place:]).encode("utf-8", "surrogatepass"))
        try:
            spoken = read_registers(path)
        except WorldFault:
            return
    assert spoken.ask


def test_that_the_usual_map_can_be_written_as_a_file() -> None:
    usual = RegisterFile(
        form=1, name="usual", over="serial", high_word=0, low_word=1, decimals_at=2, status=3,
        moving=0, over_range=1, under_range=2, net=3, fault=4, unit="lb",
    )  # fmt: skip
    assert usual.language().ask == register_language("usual", RegisterMap()).ask
