"""Compute the checks that scales send behind their frames.

The sums and their complements are common practice, no published source.
"""

import functools
import operator
from collections.abc import Callable, Mapping
from typing import Final

from shedstation.devices.learning.row import How

SEVEN_BITS: Final = 0x7F
_BYTE: Final = 0xFF


def _xor(data: bytes) -> int:
    return functools.reduce(operator.xor, data, 0)


WIDTHS: Final[Mapping[How, int]] = {
    "xor-hex": 2, "sum-hex": 2, "sum-complement-hex": 2, "xor-byte": 1, "sum-byte": 1,
    "sum-complement-byte": 1, "sum-digit": 1, "sum-two-digits": 2,
}  # fmt: skip

_HOW: Final[Mapping[How, Callable[[bytes], bytes]]] = {
    "xor-hex": lambda data: b"%02X" % _xor(data),
    "sum-hex": lambda data: b"%02X" % (sum(data) & _BYTE),
    "sum-complement-hex": lambda data: b"%02X" % (-sum(data) & _BYTE),
    "xor-byte": lambda data: bytes([_xor(data) & SEVEN_BITS]),
    "sum-byte": lambda data: bytes([sum(data) & SEVEN_BITS]),
    "sum-complement-byte": lambda data: bytes([-sum(data) & SEVEN_BITS]),
    "sum-digit": lambda data: b"%01d" % (sum(data) % 10),
    "sum-two-digits": lambda data: b"%02d" % (sum(data) % 100),
}

CATCH_ALL: Final = frozenset({
    "xor-hex", "sum-hex", "sum-complement-hex", "xor-byte", "sum-byte", "sum-complement-byte",
})  # fmt: skip
"""Those that no single changed byte of seven bits can pass."""


def is_right(how: How, covered: bytes, sent: bytes) -> bool:
    """Tell whether a check that was sent is the one over the covered bytes."""
    due = _HOW[how](covered)
    return due == (sent.upper() if how.endswith("hex") else sent)
