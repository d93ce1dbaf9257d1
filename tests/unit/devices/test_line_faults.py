"""What a port raises becomes a state and a sentence that names who has the port."""

import os
import socket
import string
from pathlib import Path

import pytest

from shedstation.devices.lines import faults
from shedstation.devices.lines.faults import LineFault, at_port, sentence
from shedstation.devices.lines.holders import Holder, holder_of
from shedstation.devices.lines.transport import SerialTransport
from shedstation.domain.line_state import LineState
from shedstation.words import LANGUAGES, Words


class System:
    """Processes as a system shows them, made up."""

    def __init__(self, folder: Path, started_with: str = "quiet") -> None:
        self.folder = folder
        (folder / "cmdline").write_text(started_with)
        (folder / "sys").mkdir()

    def runs(self, number: int, program: str, *words: str, opens: tuple[str, ...] = ()) -> None:
        process = self.folder / str(number)
        (process / "fd").mkdir(parents=True)
        (process / "comm").write_text(f"{program}\n")
        (process / "cmdline").write_bytes(b"\0".join(os.fsencode(each) for each in words) + b"\0")
        for count, device in enumerate(opens):
            (process / "fd" / str(count)).symlink_to(device)


@pytest.fixture
def system(tmp_path: Path) -> System:
    return System(tmp_path)


def test_that_the_program_at_a_port_is_named(system: System) -> None:
    system.runs(10, "shell", "sh", opens=("/dev/pts/0",))
    system.runs(11, "terminal", "terminal", opens=("/dev/null", "/dev/ttyX0"))
    assert holder_of("/dev/ttyX0", system.folder) == Holder("terminal")
    assert holder_of("/dev/ttyX1", system.folder) is None


def test_that_this_program_itself_is_no_other(system: System) -> None:
    system.runs(os.getpid(), "station", "station", opens=("/dev/ttyX0",))
    assert holder_of("/dev/ttyX0", system.folder) is None


def test_that_a_login_console_is_known_by_what_it_was_started_with(system: System) -> None:
    # Its open files are shown to the system's own user only; its command line to everybody.
    system.runs(12, "agetty", "/sbin/agetty", "-o", "-p -- \\u", "115200", "ttyX0", "vt220")
    assert holder_of("/dev/ttyX0", system.folder) == Holder("agetty", is_console=True)
    assert holder_of("/dev/ttyX1", system.folder) is None


def test_that_the_systems_own_console_is_known(tmp_path: Path) -> None:
    made = System(tmp_path, "ro console=tty1 console=ttyX0,115200n8 quiet\n")
    assert holder_of("/dev/ttyX0", made.folder) == Holder("console", is_console=True)
    assert holder_of("/dev/ttyX", made.folder) is None


def test_that_a_link_to_a_port_leads_to_its_holder(system: System, tmp_path: Path) -> None:
    device = tmp_path / "ttyX9"
    device.touch()
    (tmp_path / "by-id").symlink_to(device)
    system.runs(13, "terminal", "terminal", opens=(str(device),))
    assert holder_of(str(tmp_path / "by-id"), system.folder) == Holder("terminal")


def test_that_nothing_is_known_where_processes_are_not_shown(tmp_path: Path) -> None:
    assert holder_of("COM3", tmp_path / "none") is None


@pytest.mark.parametrize(
    ("holder", "state", "name"),
    [
        (None, LineState.TAKEN, "line.taken"),
        (Holder("terminal"), LineState.TAKEN, "line.taken_by"),
        (Holder("agetty", is_console=True), LineState.TAKEN, "line.console"),
        (Holder("agetty", is_console=True), LineState.WRONG_DATA, "line.console"),
        (Holder("terminal"), LineState.WRONG_DATA, "line.shared"),
        (Holder("terminal"), LineState.SILENT, "line.shared"),
        (None, LineState.WRONG_DATA, "line.wrong_data"),
        (Holder("terminal"), LineState.LIVE, "line.live"),
    ],
)
def test_that_the_sentence_names_who_has_the_port(
    monkeypatch: pytest.MonkeyPatch, holder: Holder | None, state: LineState, name: str
) -> None:
    monkeypatch.setattr(faults, "holder_of", lambda _port: holder)
    assert sentence(state, "/dev/ttyX0").name == name


@pytest.mark.parametrize("language", list(LANGUAGES))
@pytest.mark.parametrize("state", list(LineState))
def test_that_every_state_has_a_sentence_and_a_title(language: str, state: LineState) -> None:
    words = Words(language)
    said = words.say(sentence(state, "COM3", "error 5"))
    assert said.endswith((".", ")", "5"))
    assert not said.startswith("line.")
    assert "{" not in said
    assert not words.text(f"ui.line_{state.value}").startswith("ui.")
    assert set(said) - set(string.punctuation) - {" "}


class Line:
    """A line that is only a name."""

    def __init__(self, port: str) -> None:
        self.port = port


def fault_of(error: Exception, port: str = "COM3") -> LineFault:
    with pytest.raises(LineFault) as caught, at_port(Line(port)):
        raise error
    return caught.value


def test_that_a_port_one_may_not_open_is_told_with_the_group_that_owns_it(tmp_path: Path) -> None:
    grp = pytest.importorskip("grp", reason="groups are a Unix thing")
    port = tmp_path / "ttyX0"
    port.touch()
    said = fault_of(PermissionError(13, "Permission denied"), str(port))
    assert said.state is LineState.NOT_ALLOWED
    assert said.message.values["group"] == grp.getgrgid(port.stat().st_gid).gr_name


def test_that_a_denied_port_on_windows_is_in_use() -> None:
    # pyserial on Windows gives the system's words only, with no number of its own.
    import serial  # noqa: PLC0415  # only here

    words = "could not open port 'COM3': PermissionError(13, 'Access is denied.', None, 5)"
    assert fault_of(serial.SerialException(words)).state is LineState.TAKEN


@pytest.mark.parametrize("error", [TimeoutError("timed out"), socket.gaierror(-2, "unknown")])
def test_that_a_name_or_an_answer_that_does_not_come_is_no_answer(error: Exception) -> None:
    assert fault_of(error, "socket://scale.example:4001").state is LineState.NO_ANSWER


@pytest.mark.parametrize(
    ("name", "state"), [("null", LineState.UNFIT), ("no-such-port", LineState.GONE)]
)
def test_that_what_is_no_serial_port_is_told(name: str, state: LineState) -> None:
    line = SerialTransport(f"/dev/{name}", ports=lambda: ())
    with pytest.raises(LineFault) as caught, at_port(line):
        line.open()
    assert caught.value.state is state
    assert caught.value.message.values["port"] == f"/dev/{name}"
