"""Scales that nobody makes: each seed gives a language of its own, and a bench to use it at.

Nothing here knows how languages are learned. A scale is a list of fields; each writes its part of a
frame from what is on the pan. The fields and their order are drawn at random.
"""

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Final

from shedstation.devices.capture import Chunk
from shedstation.domain.mass import Mass, Unit

STX, ETX = "\x02", "\x03"
FRAME_S: Final = 0.1


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


@dataclass
class Scale:
    """An invented scale."""

    seed: int
    kind: str
    fields: list[Field]
    units: tuple[Unit, ...]
    decimals: dict[Unit, int]
    capacity: int
    division: int
    end: str
    parity: str
    notes: list[str] = field(default_factory=list)
    has_mark: bool = True

    def frame(self, pan: Pan) -> bytes:
        text = ""
        for write in self.fields:
            text += write(pan, text)
        return with_parity((text + self.end).encode("latin-1"), self.parity)


def with_parity(data: bytes, parity: str) -> bytes:
    match parity:
        case "even":
            return bytes(b | 0x80 if b.bit_count() % 2 else b for b in data)
        case "odd":
            return bytes(b if b.bit_count() % 2 else b | 0x80 for b in data)
        case "mark":
            return bytes(b | 0x80 for b in data)
    return data


# ---- fields


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


def check(how: str, skip: int) -> Field:
    def write(_pan: Pan, before: str) -> str:
        data = before[skip:].encode("latin-1")
        xor = 0
        for byte in data:
            xor ^= byte
        match how:
            case "xor":
                return f"{xor:02X}"
            case "sum":
                return f"{sum(data) % 256:02X}"
            case "complement":
                return f"{-sum(data) % 256:02X}"
            case "low byte":
                return chr(-sum(data) & 0x7F)
            case "decimal":
                return f"{sum(data) % 100:02d}"
            case "odd one":
                return f"{sum(byte * (i + 3) for i, byte in enumerate(data)) % 256:02X}"
        raise ValueError(how)

    return write


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


# ---- numbers that cannot be learned


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


HARD: Final = ("reversed", "hexadecimal", "complement", "rounded", "other unit")


# ---- scales


def scale(seed: int) -> Scale:
    """Draw a scale."""
    draw = random.Random(seed)
    kinds = ["columns"] * 6 + ["glued"] * 3 + ["separated"] * 4 + ["record"] * 2 + ["compound"] * 2
    return build(seed, draw.choice([*kinds, "free", "free", "block", "block"]), draw)


def hard_scale(seed: int) -> Scale:
    """Draw a scale whose numbers nobody could read off."""
    draw = random.Random(seed)
    made = build(seed, "columns", draw)
    kind = HARD[seed % len(HARD)]
    made.kind = kind
    number: dict[str, Field] = {
        "reversed": reversed_digits(6),
        "hexadecimal": hexadecimal(6),
        "complement": complement(draw.choice((4, 6))),
        "rounded": rounded_on_display(6, draw),
        "other unit": other_unit(6),
    }
    made.fields = [number[kind] if isinstance(each, Number) else each for each in made.fields]
    return made


def build(seed: int, kind: str, draw: random.Random) -> Scale:
    units = draw.choice([(Unit.LB,), (Unit.KG,), (Unit.LB, Unit.KG), (Unit.G,), (Unit.OZ,)])
    if kind == "compound":
        units = (Unit.LB_OZ,)
    decimals = {Unit.LB: 2, Unit.KG: draw.choice((2, 3)), Unit.G: 0, Unit.OZ: 1, Unit.LB_OZ: 1}
    capacity = {Unit.LB: 6000, Unit.KG: 3000, Unit.G: 30000, Unit.OZ: 9600, Unit.LB_OZ: 9600}
    made = Scale(
        seed=seed,
        kind=kind,
        fields=[],
        units=units,
        decimals=decimals,
        capacity=capacity[units[0]] * (10 if decimals[units[0]] == 3 else 1),
        division=draw.choice((1, 1, 2, 5)),
        end=draw.choice(("\r\n", "\r\n", "\r", "\n", "\n\r")),
        parity=draw.choice(("none", "none", "even", "odd", "mark")),
    )
    _lay_out(made, draw)
    return made


def _lay_out(made: Scale, draw: random.Random) -> None:
    number, signs = _number(made, draw)
    units = _units(made, draw)
    states = _states(made, draw, signs)
    extras = _extras(made, draw)
    if made.kind == "record":
        number = _record(made, draw, number)
    parts = [[number], signs, units, states, *[[each] for each in extras]]
    parts = [part for part in parts if part]
    draw.shuffle(parts)
    flat = [each for part in parts for each in part]
    between = {
        "separated": draw.choice((",", ";", "\t", "|")),
        "record": ",",
        "columns": draw.choice((" ", "  ")),
        "free": " ",
    }.get(made.kind, "")
    made.fields = _joined(flat, between)
    _framed(made, draw)


def _joined(fields: list[Field], between: str) -> list[Field]:
    joined: list[Field] = []
    for at, each in enumerate(fields):
        if at and between:
            joined.append(text(between))
        joined.append(each)
    return joined


def _number(made: Scale, draw: random.Random) -> tuple[Field, list[Field]]:
    sign = draw.choice(("own", "floating", "trailing", "letter", "digit", "bits"))
    signs: list[Field] = []
    if made.kind == "compound":
        made.notes.append("compound")
        return compound(draw.choice(("colon", "words", "glued", "zeros"))), []
    if sign == "letter":
        signs = [letters(*draw.choice((("P", "N"), ("+", "-"), (" ", "N"), ("A", "B"))))]
    elif sign == "digit":
        signs = [letters(*draw.choice((("0", "1"), ("1", "0"), ("2", "7"))))]
    elif sign == "bits":
        signs = [_status(made, draw)]
    made.notes.append(f"sign {sign}")
    widest = max(len(digits_of(made.capacity, made.decimals[unit], ".")) for unit in made.units)
    point = draw.choice((".", ".", ",", ""))
    if made.kind == "separated" and point == ",":
        point = "."
    fills = ("free",) if made.kind == "free" else ("spaces", "spaces", "zeros", "left")
    fill = draw.choice(fills)
    if fill == "left" and not made.kind == "separated":
        fill = "spaces"
    if sign == "floating" and fill == "zeros":
        sign = "own"
    made.notes.append(f"number {fill} {point!r}")
    plus = draw.choice((" ", "+", "0")) if made.kind != "glued" else draw.choice((" ", "+"))
    over = draw.choice(("dashes", "nines", "carets", "spaces"))
    width = widest + draw.choice((1, 2))
    return Number(width, fill, point, sign, "+" if plus == "0" else plus, over), signs


def _status(made: Scale, draw: random.Random) -> Field:
    base = draw.choice((0x20, 0x30, 0x40))
    moving, negative, over, zero = draw.sample((1, 2, 4, 8), 4)
    made.notes.append("status bits")
    return status_bits(base, moving, negative, over, draw.choice((0, zero)))


def _units(made: Scale, draw: random.Random) -> list[Field]:
    names = {unit: "lb" if unit is Unit.LB_OZ else unit.value for unit in Unit}
    style = draw.choice(("name", "name", "padded", "letter", "digit", "none", "when steady"))
    if style == "none" and len(made.units) > 1:
        style = "letter"
    if made.kind == "compound":
        style = "none"
    made.notes.append(f"unit {style}")
    match style:
        case "name":
            return [unit_code({unit: name.rjust(2) for unit, name in names.items()})]
        case "padded":
            return [unit_code({unit: f" {name.upper():3s}" for unit, name in names.items()})]
        case "letter":
            codes = dict(zip(Unit, draw.sample("LKGOZPXY", 5), strict=True))
            return [unit_code(codes)]
        case "digit":
            codes = dict(zip(Unit, draw.sample("01234567", 5), strict=True))
            return [unit_code(codes)]
        case "when steady" if made.has_mark:
            return [unit_when_steady({unit: name.rjust(2) for unit, name in names.items()})]
    return []


def _states(made: Scale, draw: random.Random, signs: list[Field]) -> list[Field]:
    if "status bits" in made.notes or "unit when steady" in made.notes:
        return []
    style = draw.choice(("pair", "letter", "digit", "mark", "bits", "none"))
    made.notes.append(f"state {style}")
    match style:
        case "pair":
            return [
                state(*draw.choice((("ST", "US", "OL"), ("SS", "SD", "SI"), ("00", "01", "08"))))
            ]
        case "letter":
            return [state(*draw.choice((("S", "M", "O"), ("A", "B", "C"), ("D", "I", "H"))))]
        case "digit":
            return [state(*draw.choice((("0", "1", "2"), ("3", "2", "0"), ("1", "0", "9"))))]
        case "mark":
            return [state(*draw.choice(((" ", "?", "^"), ("*", " ", "#"), (" ", "M", "O"))))]
        case "bits":
            base = draw.choice((0x30, 0x40))
            return [status_bits(base, 1, 0, 4, draw.choice((0, 8)))]
    made.has_mark = False
    return []


def _extras(made: Scale, draw: random.Random) -> list[Field]:
    extras: list[Field] = []
    if draw.random() < 0.3:
        extras.append(counter(draw.choice((1, 2, 3, 4)), draw.choice((1, 1, 3))))
        made.notes.append("counter")
    if draw.random() < 0.15:
        extras.append(clock())
        made.notes.append("clock")
    if draw.random() < 0.3:
        extras.append(text(draw.choice(("ID07", "42", "A", "0", "No3", "1", "W", "WT"))))
        made.notes.append("constant")
    if draw.random() < 0.3:
        extras.append(mode(*draw.choice((("G", "N"), ("GS", "NT"), ("0", "1")))))
        made.notes.append("mode")
    return extras


def _record(made: Scale, draw: random.Random, net: Field) -> Field:
    """Gross, tare and net, the display showing net."""
    made.notes.append("gross and net")
    if not isinstance(net, Number):
        return net
    gross = replace(net, what=lambda pan: pan.count + pan.tare)
    tare = replace(net, what=lambda pan: pan.tare)
    order = draw.choice(([gross, tare, net], [net, gross], [gross, net]))

    def write(pan: Pan, before: str) -> str:
        return ",".join(each(pan, before) for each in order)

    return write


def _framed(made: Scale, draw: random.Random) -> None:
    shape = draw.choice(("plain", "plain", "stx", "stx etx"))
    if made.kind == "block":
        shape, made.end = "block", draw.choice(("", "\r"))
    if shape != "plain":
        made.fields.insert(0, text(STX))
    if draw.random() < 0.35:
        if made.kind in {"separated", "record"}:
            made.fields.append(text(draw.choice((",", "*", ",*"))))
        hows = ("xor", "sum", "complement", "decimal", "odd one")
        how = draw.choice((*hows, "low byte") if made.kind == "block" else hows)
        made.fields.append(check(how, draw.choice((0, 1)) if shape != "plain" else 0))
        made.notes.append(f"check {how}")
    if shape == "stx etx":
        made.fields.append(text(ETX))
        made.end = draw.choice(("", made.end))
    made.notes.append(shape)


# ---- a bench with one of them on it


@dataclass
class Bench:
    """Somebody who puts loads on an invented scale."""

    scale: Scale
    draw: random.Random
    frame_no: int = 0
    count: int = 0
    unit: Unit = Unit.LB
    tare: int = 0

    def __post_init__(self) -> None:
        self.unit = self.scale.units[0]
        self.frame_no = self.draw.randint(0, 5000)

    def pan(self, count: int, **more: object) -> Pan:
        self.frame_no += 1
        return Pan(
            count=count,
            unit=self.unit,
            decimals=self.scale.decimals[self.unit],
            tare=self.tare,
            frame_no=self.frame_no,
            second=self.frame_no // 10,
            **more,  # type: ignore[arg-type]  # what a pan holds
        )

    def moved_to(self, count: int) -> Iterator[Pan]:
        """Give frames while the pan goes to another load and comes to rest."""
        start = self.count
        frames = self.draw.randint(8, 16)
        for i in range(1, frames):
            share = 1 - 0.55 ** (i * 12 / frames)
            now = round((start + (count - start) * share) / self.scale.division)
            yield self.pan(now * self.scale.division, is_moving=True)
        for _ in range(self.draw.randint(2, 4)):
            yield self.pan(count, is_moving=True)
        self.count = count

    def at_rest(self, frames: int) -> list[Pan]:
        """Give frames while a load stands still."""
        return [self.pan(self.count) for _ in range(frames)]

    def most(self) -> int:
        """Give the heaviest load."""
        most = self.scale.capacity * 9 // 10
        if self.unit is Unit.KG and self.scale.units[0] is Unit.LB:
            most = most * 45 // 100 * 10 ** (self.scale.decimals[Unit.KG] - 2)
        return most

    def load(self) -> int:
        """Draw a load."""
        most = self.most()
        return self.draw.randint(most // 40, most) // self.scale.division * self.scale.division

    def heard(self, pans: list[Pan]) -> tuple[Chunk, ...]:
        """Give what the scale sent, in pieces as they come."""
        data = b"".join(self.scale.frame(pan) for pan in pans)
        chunks, at = [], 0
        while at < len(data):
            size = self.draw.randint(1, 20)
            chunks.append(Chunk(len(chunks) * FRAME_S / 2, data[at : at + size]))
            at += size
        return tuple(chunks)
