"""Fields of invented scales' frames: each writes its part from what is on the pan."""

import functools
import operator
import random
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from shedstation.domain.mass import Mass, Unit

STX, ETX = "\x02", "\x03"


@dataclass(frozen=True)
class Pan:
    """What the scale knows when it writes a frame."""

    count: int
    """What its display shows, in the last decimal."""

    unit: Unit
    decimals: int
    is_moving: bool = False
    is_over: bool = False
    tare: int = 0
    frame_no: int = 0
    second: int = 0

    @property
    def shown(self) -> Mass | None:
        return None if self.is_over else Mass(self.count, self.decimals, self.unit)


Field = Callable[[Pan, str], str]
"""Writes a part of a frame; it is given what was written before it."""


def text(constant: str) -> Field:
    return lambda _pan, _before: constant


def digits_of(count: int, decimals: int, point: str) -> str:
    if not point or not decimals:
        return str(abs(count)).rjust(decimals + 1, "0")
    plain = str(abs(count)).rjust(decimals + 1, "0")
    return f"{plain[:-decimals]}{point}{plain[-decimals:]}"


@dataclass
class Number:
    """How a number is written."""

    width: int
    fill: str
    point: str
    sign: str
    plus: str = " "
    over: str = "dashes"
    what: Callable[[Pan], int] = lambda pan: pan.count

    def __call__(self, pan: Pan, _before: str) -> str:
        if pan.is_over:
            return self._over(pan)
        count = self.what(pan)
        digits = digits_of(count, pan.decimals, self.point)
        minus = "-" if count < 0 else ""
        if self.sign == "own":
            return (minus or self.plus) + self._filled(digits, self.width)
        if self.sign == "floating":
            return self._filled(minus + digits, self.width)
        if self.sign == "trailing":
            return self._filled(digits, self.width) + (minus or " ")
        return self._filled(digits, self.width)

    def _filled(self, digits: str, width: int) -> str:
        match self.fill:
            case "zeros":
                return digits.zfill(width)
            case "left":
                return digits.ljust(width)
            case "free":
                return digits
        return digits.rjust(width)

    def _over(self, pan: Pan) -> str:
        width = len(self(replace(pan, is_over=False, count=0), ""))
        if self.fill == "free":
            width = self.width  # a single 9 would be a weight like any other
        return {"dashes": "-", "nines": "9", "spaces": " ", "carets": "^"}[self.over] * width


def letters(plus: str, minus: str) -> Field:
    return lambda pan, _before: minus if pan.count < 0 else plus


def unit_code(codes: dict[Unit, str]) -> Field:
    return lambda pan, _before: codes[pan.unit]


def unit_when_steady(codes: dict[Unit, str]) -> Field:
    return lambda pan, _before: (" " * len(codes[pan.unit])) if pan.is_moving else codes[pan.unit]


def state(steady: str, moving: str, over: str) -> Field:
    return lambda pan, _before: over if pan.is_over else moving if pan.is_moving else steady


def status_bits(base: int, moving: int, negative: int, over: int, zero: int) -> Field:
    def write(pan: Pan, _before: str) -> str:
        bits = base
        bits |= moving if pan.is_moving else 0
        bits |= negative if pan.count < 0 else 0
        bits |= over if pan.is_over else 0
        bits |= zero if pan.count == 0 and not pan.is_over else 0
        return chr(bits)

    return write


def counter(width: int, step: int = 1) -> Field:
    return lambda pan, _before: str(pan.frame_no * step % 10**width).zfill(width)


def clock() -> Field:
    def write(pan: Pan, _before: str) -> str:
        at = pan.second + 6 * 3600 + 52 * 60
        return f"{at // 3600 % 24:02d}:{at // 60 % 60:02d}:{at % 60:02d}"

    return write


def mode(gross: str, net: str) -> Field:
    return lambda pan, _before: net if pan.tare else gross


CHECKS: Final[dict[str, Callable[[bytes], str]]] = {
    "xor": lambda data: f"{functools.reduce(operator.xor, data, 0):02X}",
    "sum": lambda data: f"{sum(data) % 256:02X}",
    "complement": lambda data: f"{-sum(data) % 256:02X}",
    "low byte": lambda data: chr(-sum(data) & 0x7F),
    "decimal": lambda data: f"{sum(data) % 100:02d}",
    "odd one": lambda data: f"{sum(each * (i + 3) for i, each in enumerate(data)) % 256:02X}",
}


def check(how: str, skip: int) -> Field:
    return lambda _pan, before: CHECKS[how](before[skip:].encode("latin-1"))


def compound(style: str) -> Field:
    def write(pan: Pan, _before: str) -> str:
        pounds, rest = divmod(abs(pan.count), 16 * 10**pan.decimals)
        ounces = digits_of(rest, pan.decimals, ".")
        minus = "-" if pan.count < 0 else " "
        if pan.is_over:
            return "-" * len(write(replace(pan, is_over=False, count=0), ""))
        match style:
            case "colon":
                return f"{minus}{pounds:3d}:{ounces.zfill(4)}"
            case "words":
                return f"{minus}{pounds:3d} lb {ounces.rjust(4)} oz"
            case "glued":
                return f"{minus}{pounds:03d}{digits_of(rest, pan.decimals, '').zfill(3)}"
        return f"{minus}{pounds:03d}lb{ounces.zfill(4)}oz"

    return write


def reversed_digits(width: int) -> Field:
    return lambda pan, _before: str(abs(pan.count)).zfill(width)[::-1]


def hexadecimal(width: int) -> Field:
    return lambda pan, _before: f"{abs(pan.count):X}".zfill(width)


def complement(width: int) -> Field:
    return lambda pan, _before: str(pan.count % 10**width).zfill(width)


def rounded_on_display(width: int, draw: random.Random) -> Field:
    return lambda pan, _before: str(max(abs(pan.count) * 10 + draw.randint(-5, 4), 0)).zfill(width)


def other_unit(width: int) -> Field:
    return lambda pan, _before: str(abs(pan.count) * 45359237 // 10**8).zfill(width)
