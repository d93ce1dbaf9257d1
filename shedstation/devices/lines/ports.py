"""List the ports that exist and find a remembered one again, whatever the system calls it today.

A port is remembered by what stays the same: `usb:VENDOR:PRODUCT:SERIAL` for an adapter with a serial
number of its own, `usb-at:VENDOR:PRODUCT:PLACE` for one without, told from others by the socket it is in.
A port that is no USB adapter keeps its name.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import quote, unquote

from serial.tools import list_ports

from shedstation.devices.lines.faults import LineFault
from shedstation.domain.errors import WorldFault
from shedstation.domain.line_report import PortChoice
from shedstation.domain.line_state import LineState
from shedstation.domain.message import Message

BY_SERIAL: Final = "usb"
BY_PLACE: Final = "usb-at"

Lister = Callable[[], Iterable[Any]]
"""Gives the ports as pyserial's `comports` does."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Port:
    """A serial port that exists; what is not known of it is empty."""

    device: str
    """What the system calls it today."""

    kind: str = ""
    """`VENDOR:PRODUCT` in lower-case hexadecimal, for a USB adapter."""

    serial: str = ""
    place: str = ""
    """Where on the USB tree it is plugged in."""

    def is_like(self, other: "Port") -> bool:
        """Tell whether nothing but the place tells the two apart."""
        return (self.kind, self.serial) == (other.kind, other.serial)


def existing_ports(lister: Lister = list_ports.comports) -> tuple[Port, ...]:
    """Give the ports that exist, by name."""
    return tuple(sorted(map(_port, lister()), key=lambda port: port.device))


def _port(info: Any) -> Port:  # noqa: ANN401  # each system has a class of its own
    if info.vid is None or info.pid is None:
        return Port(device=info.device)
    return Port(
        device=info.device,
        kind=f"{info.vid:04x}:{info.pid:04x}",
        serial=(info.serial_number or "").strip(),
        place=info.location or "",
    )


def identity_of(port: Port, ports: Sequence[Port]) -> str:
    """Give what a port is remembered by among all that exist now."""
    if not port.kind:
        return port.device
    is_one_of_several = sum(port.is_like(each) for each in ports) > 1
    if port.serial and not is_one_of_several:
        return f"{BY_SERIAL}:{port.kind}:{quote(port.serial, safe='')}"
    if port.place:
        return f"{BY_PLACE}:{port.kind}:{port.place}"
    return port.device


def port_choices(ports: Sequence[Port]) -> list[PortChoice]:
    """Give the ports as people choose among them."""
    return [PortChoice(identity_of(port, ports), _title(port, ports)) for port in ports]


def _title(port: Port, ports: Sequence[Port]) -> Message:
    values: dict[str, object] = {"device": port.device, "kind": port.kind}
    if not port.kind:
        return Message("line.port_plain", values)
    if sum(port.is_like(each) for each in ports) > 1:
        return Message("line.port_twin", {**values, "place": port.place or port.device})
    if port.serial:
        return Message("line.port_usb", {**values, "serial": port.serial})
    return Message("line.port_usb_place", {**values, "place": port.place or port.device})


def spoken(port: str) -> str | Message:
    """Give what sentences call a remembered port that is not there."""
    how, _, rest = port.partition(":")
    if how not in (BY_SERIAL, BY_PLACE):
        return port
    vendor, product, last = rest.split(":", 2)
    kind = f"{vendor}:{product}"
    if how == BY_SERIAL:
        return Message("line.away_usb", {"kind": kind, "serial": unquote(last)})
    return Message("line.away_usb_place", {"kind": kind, "place": last})


def check_port(port: str) -> None:
    """Look whether a port's name is one the station opens.

    Raises:
        WorldFault: if it is not: a shared settings file may not open addresses of any kind.
    """
    how, _, rest = port.partition(":")
    is_whole = len(rest.split(":", 2)) == 3 and all(rest.split(":", 2))  # noqa: PLR2004  # three parts
    if "://" in port or not port or (how in (BY_SERIAL, BY_PLACE) and not is_whole):
        raise WorldFault(Message("scale.bad_port", {"port": port}))


def device_of(port: str, ports: Sequence[Port], *, just_chosen: bool) -> str:
    """Give what the system calls a remembered port now.

    Args:
        port: An identity, or a plain name.
        ports: The ports that exist.
        just_chosen: Whether a person chose it just now, so that its name of today is what was meant.

    Raises:
        LineFault: if it is not there, or if several could be meant: none is picked then.
    """
    how, _, rest = port.partition(":")
    if how == BY_SERIAL:
        return _one_of([each for each in ports if _serial_key(each) == rest], port)
    if how == BY_PLACE:
        return _at_place(rest, port, ports)
    if not just_chosen and any(each.device == port and _has_twin(each, ports) for each in ports):
        raise LineFault(LineState.AMBIGUOUS, Message("line.ambiguous", {"port": port}))
    return port


def _serial_key(port: Port) -> str:
    return f"{port.kind}:{quote(port.serial, safe='')}"


def _has_twin(port: Port, ports: Sequence[Port]) -> bool:
    """Tell whether the name alone tells a port from another one, and names change at every plug."""
    nameless = bool(port.kind) and not port.place
    return nameless and sum(port.is_like(each) for each in ports) > 1


def _at_place(rest: str, port: str, ports: Sequence[Port]) -> str:
    """Give the adapter in a socket; one like it in another socket may be another scale's."""
    kind = ":".join(rest.split(":")[:2])
    here = [each for each in ports if f"{each.kind}:{each.place}" == rest]
    if not here and any(each.kind == kind for each in ports):
        raise LineFault(LineState.AMBIGUOUS, Message("line.elsewhere", {"port": spoken(port)}))
    return _one_of(here, port)


def _one_of(found: Sequence[Port], port: str) -> str:
    if not found:
        raise LineFault(LineState.GONE, Message("line.gone", {"port": spoken(port)}))
    if len(found) > 1:
        raise LineFault(LineState.AMBIGUOUS, Message("line.ambiguous", {"port": spoken(port)}))
    return found[0].device
