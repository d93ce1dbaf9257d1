"""Choose what reaches a scale from where it is and how its line is set."""

from collections.abc import Mapping
from typing import Final

from shedstation.devices.languages.bits import Bits
from shedstation.devices.lines.hid import PREFIX as HID
from shedstation.devices.lines.hid import HidTransport
from shedstation.devices.lines.tcp import PREFIX, TcpTransport
from shedstation.devices.lines.transport import Parity, SerialTransport, Transport

_PARITY: Final[Mapping[str, Parity]] = {"8E1": Parity.EVEN, "8O1": Parity.ODD}
"""Eleven bits a byte, which only the port itself can take apart."""

_TOP_BITS: Final[Mapping[str, Bits]] = {
    "8N1": Bits.PLAIN, "8N2": Bits.PLAIN, "8E1": Bits.PLAIN, "8O1": Bits.PLAIN,
    "7E1": Bits.EVEN, "7O1": Bits.ODD, "7N2": Bits.MARK,
}  # fmt: skip


def transport_to(port: str, *, baud: int, bits: str, just_chosen: bool = False) -> Transport:
    """Give what reaches a port.

    Args:
        port: A serial port by identity or name, `socket://host:port`, or `hid:VENDOR:PRODUCT:SERIAL`.
        baud: Line speed; a converter on the network has its own.
        bits: One of `LINE_BITS`; all but 8E1 and 8O1 are opened as 8N1.
        just_chosen: Whether a person chose the port now.

    Raises:
        WorldFault: if the port's name is of a kind that is not opened.
    """
    if port.startswith(PREFIX):
        return TcpTransport(port)
    if port.startswith(HID):
        return HidTransport(port)
    parity = _PARITY.get(bits, Parity.NONE)
    return SerialTransport(port, baud=baud, parity=parity, just_chosen=just_chosen)


def top_bits(bits: str) -> Bits | None:
    """Give what the top bit of each byte is on a line of that setting; none if it is to be found."""
    return _TOP_BITS.get(bits)
