"""Ports are remembered by what they are and found again under any name; none is picked by guess."""

from dataclasses import dataclass

import pytest

from shedstation.devices.lines.faults import LineFault
from shedstation.devices.lines.opening import top_bits, transport_to
from shedstation.devices.lines.ports import (
    Port,
    check_port,
    device_of,
    existing_ports,
    identity_of,
    port_choices,
    spoken,
)
from shedstation.devices.lines.tcp import TcpTransport
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import LINE_BITS
from shedstation.domain.line_state import LineState
from shedstation.words import Words


@dataclass
class Info:
    """What the system says of one port."""

    device: str
    vid: int | None = None
    pid: int | None = None
    serial_number: str | None = None
    location: str | None = None


KIND = 0x1234, 0x5678
OWN = Info("/dev/ttyUSB0", *KIND, serial_number="A1", location="1-1.4")
LEFT = Info("/dev/ttyUSB1", *KIND, location="1-1.2")
RIGHT = Info("/dev/ttyUSB2", *KIND, location="1-1.3")
BUILT_IN = Info("/dev/ttyS0")


def ports(*infos: Info) -> tuple[Port, ...]:
    return existing_ports(lambda: infos)


def identities(*infos: Info) -> list[str]:
    return [each.identity for each in port_choices(ports(*infos))]


def found(port: str, *infos: Info, just_chosen: bool = False) -> str:
    return device_of(port, ports(*infos), just_chosen=just_chosen)


def state_of(port: str, *infos: Info) -> LineState:
    with pytest.raises(LineFault) as caught:
        found(port, *infos)
    return caught.value.state


def test_that_an_adapter_is_remembered_by_its_serial_number_or_else_by_its_socket() -> None:
    assert identities(BUILT_IN, OWN, LEFT) == [
        "/dev/ttyS0", "usb:1234:5678:A1", "usb-at:1234:5678:1-1.2",
    ]  # fmt: skip


def test_that_an_adapter_is_found_again_under_another_name() -> None:
    moved = Info("/dev/ttyUSB7", *KIND, serial_number="A1", location="2-3")
    assert found("usb:1234:5678:A1", BUILT_IN, moved, LEFT) == "/dev/ttyUSB7"
    renamed = Info("/dev/ttyUSB9", *KIND, location="1-1.2")
    assert found("usb-at:1234:5678:1-1.2", OWN, renamed, RIGHT) == "/dev/ttyUSB9"


def test_that_an_adapter_that_is_not_there_is_gone() -> None:
    assert state_of("usb:1234:5678:A1", BUILT_IN) is LineState.GONE
    assert state_of("usb-at:1234:5678:1-1.2", BUILT_IN) is LineState.GONE


def test_that_two_equal_adapters_are_told_apart_by_their_sockets() -> None:
    twins = (LEFT, RIGHT)
    assert identities(*twins) == ["usb-at:1234:5678:1-1.2", "usb-at:1234:5678:1-1.3"]
    assert found("usb-at:1234:5678:1-1.3", *twins) == "/dev/ttyUSB2"


def test_that_two_adapters_with_the_same_serial_number_are_told_apart_by_their_sockets() -> None:
    # Some makers give every adapter the same one (common practice, no published source).
    twins = [
        Info(f"/dev/ttyUSB{n}", *KIND, serial_number="0001", location=f"1-{n}") for n in (1, 2)
    ]
    assert identities(*twins) == ["usb-at:1234:5678:1-1", "usb-at:1234:5678:1-2"]
    assert state_of("usb:1234:5678:0001", *twins) is LineState.AMBIGUOUS


def test_that_an_equal_adapter_in_another_socket_is_never_taken_by_itself() -> None:
    assert state_of("usb-at:1234:5678:1-1.2", RIGHT) is LineState.AMBIGUOUS


def test_that_ports_of_one_adapter_with_several_are_told_apart() -> None:
    several = [
        Info(f"/dev/ttyUSB{n}", *KIND, serial_number="F4", location=f"1-1.4:1.{n}") for n in (0, 1)
    ]
    both = identities(*several)
    assert both == ["usb-at:1234:5678:1-1.4:1.0", "usb-at:1234:5678:1-1.4:1.1"]
    assert [found(each, *several) for each in both] == ["/dev/ttyUSB0", "/dev/ttyUSB1"]
    assert state_of(both[0], several[1]) is LineState.AMBIGUOUS


def test_that_adapters_which_nothing_but_their_name_tells_apart_must_be_chosen() -> None:
    nameless = [Info(f"COM{n}", *KIND) for n in (5, 6)]
    assert identities(*nameless) == ["COM5", "COM6"]
    assert found("COM5", *nameless, just_chosen=True) == "COM5"
    assert state_of("COM5", *nameless) is LineState.AMBIGUOUS
    assert found("COM5", nameless[0]) == "COM5", "alone it can be no other"


def test_that_plain_names_are_opened_as_they_are() -> None:
    assert found("/dev/ttyUSB0", OWN, LEFT, RIGHT) == "/dev/ttyUSB0"
    assert found("/dev/serial/by-id/adapter") == "/dev/serial/by-id/adapter"


@pytest.mark.parametrize("serial", ["A:1", "A 1", "ÄÖ/1", "%41", "x" * 80])
def test_that_any_serial_number_makes_an_identity_that_leads_back(serial: str) -> None:
    odd = Info("/dev/ttyACM0", *KIND, serial_number=serial, location="1-2")
    (identity,) = identities(odd)
    check_port(identity)
    assert found(identity, odd, LEFT) == "/dev/ttyACM0"
    assert Words("en").value(spoken(identity)).endswith(f"serial {serial}")


@pytest.mark.parametrize(
    "port",
    ["", "usb:", "usb:1234:5678", "usb:1234:5678:", "usb-at:1:2:", "spy://x?file=/etc/passwd",
     "http://example.com", "hwgrep://x", "loop://", "socket://", "socket://host",
     "socket://host:99999999", "socket://host:1/path"],
)  # fmt: skip
def test_that_names_of_other_kinds_are_not_opened(port: str) -> None:
    with pytest.raises(WorldFault, match=r"scale\.bad_port"):
        transport_to(port, baud=9600, bits="auto")


def test_that_an_address_is_reached_over_the_network() -> None:
    assert isinstance(transport_to("socket://[::1]:4001", baud=9600, bits="auto"), TcpTransport)


def test_that_titles_say_what_a_port_is_in_both_languages() -> None:
    titles = [each.title for each in port_choices(ports(BUILT_IN, OWN, LEFT, RIGHT))]
    english, spanish = Words("en"), Words("es")
    assert [english.say(each) for each in titles] == [
        "/dev/ttyS0",
        "USB 1234:5678, serial A1, now /dev/ttyUSB0",
        "USB 1234:5678 in socket 1-1.2, one of several alike, now /dev/ttyUSB1",
        "USB 1234:5678 in socket 1-1.3, one of several alike, now /dev/ttyUSB2",
    ]
    assert spanish.say(titles[1]) == "USB 1234:5678, serie A1, ahora /dev/ttyUSB0"


def test_that_every_setting_of_bits_has_its_way_to_be_read() -> None:
    ways = {bits: (top_bits(bits), parity_of(bits)) for bits in LINE_BITS}
    assert len({way for bits, way in ways.items() if bits not in {"8N1", "8N2"}}) == 6
    assert ways["8N1"] == ways["8N2"], "a second stop bit is a longer pause to whoever reads"


def parity_of(bits: str) -> object:
    return transport_to("COM1", baud=9600, bits=bits)._parity  # type: ignore[attr-defined]  # a serial one


def test_that_an_identity_of_a_port_is_one_of_the_choices() -> None:
    all_ports = ports(BUILT_IN, OWN, LEFT, RIGHT)
    assert {identity_of(each, all_ports) for each in all_ports} == set(
        identities(BUILT_IN, OWN, LEFT, RIGHT)
    )
