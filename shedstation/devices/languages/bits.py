"""Take the top bit off: lines are opened with eight bits, parity is checked here.

A frame of seven data bits, parity and a stop bit is as long as one of eight data bits and a stop bit, so
one setting of the port reads both, and a byte whose parity is wrong is known to be damaged. Seven bits
with two stop bits look like eight with the top bit set.
"""

from collections.abc import Iterable
from enum import Enum
from typing import Final

DAMAGED: Final = 0xFF
"""Stands for a byte whose top bit is wrong; it is in no language's grammar."""

_FITTING: Final = 0.75
"""Text fits a parity that it was not sent with in about half of its bytes."""


class Bits(Enum):
    """What the top bit of each byte is, by the setting of the scale."""

    PLAIN = "8N1"
    EVEN = "7E1"
    ODD = "7O1"
    MARK = "7N2"


def _ones(byte: int) -> int:
    return byte.bit_count()


def _is_right(byte: int, bits: Bits) -> bool:
    match bits:
        case Bits.PLAIN:
            return byte < 0x80  # noqa: PLR2004  # the top bit
        case Bits.MARK:
            return byte >= 0x80  # noqa: PLR2004  # the top bit
        case Bits.EVEN:
            return _ones(byte) % 2 == 0
        case Bits.ODD:
            return _ones(byte) % 2 == 1


_TABLES: Final = {
    bits: bytes(byte & 0x7F if _is_right(byte, bits) else DAMAGED for byte in range(256))
    for bits in Bits
}


def without_top_bit(data: bytes, bits: Bits) -> bytes:
    """Give each byte's lower seven bits, or `DAMAGED` where the top bit is not what it should be."""
    return data.translate(_TABLES[bits])


def fitting_bits(data: bytes) -> Iterable[Bits]:
    """Give what the top bits may be, the best fitting first; nothing fits what no scale sent."""
    shares = {bits: _share(data, bits) for bits in Bits}
    best = sorted(Bits, key=lambda bits: -shares[bits])
    return [bits for bits in best if shares[bits] >= _FITTING]


def _share(data: bytes, bits: Bits) -> float:
    return 1 - without_top_bit(data, bits).count(DAMAGED) / max(len(data), 1)


def with_top_bit(data: bytes, bits: Bits) -> bytes:
    """Give text as a scale of that setting takes it, sent with eight bits."""
    return bytes(byte if _is_right(byte, bits) else byte | 0x80 for byte in data)
