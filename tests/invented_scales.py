"""Scales that nobody makes: each seed gives a language of its own, and a bench to use it at.

Nothing here knows how languages are learned. A scale is a list of fields; each writes its part of a
frame from what is on the pan. The fields and their order are drawn at random.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Final

from invented_fields import (
    ETX,
    STX,
    Field,
    Number,
    Pan,
    check,
    clock,
    complement,
    compound,
    counter,
    digits_of,
    hexadecimal,
    letters,
    mode,
    other_unit,
    reversed_digits,
    rounded_on_display,
    state,
    status_bits,
    text,
    unit_code,
    unit_when_steady,
)

from shedstation.devices.capture import Chunk
from shedstation.domain.mass import Unit

FRAME_S: Final = 0.1
STATES: Final = {
    "pair": (("ST", "US", "OL"), ("SS", "SD", "SI"), ("00", "01", "08")),
    "letter": (("S", "M", "O"), ("A", "B", "C"), ("D", "I", "H")),
    "digit": (("0", "1", "2"), ("3", "2", "0"), ("1", "0", "9")),
    "mark": ((" ", "?", "^"), ("*", " ", "#"), (" ", "M", "O")),
}
"""Steady, moving and over."""

HARD: Final = ("reversed", "hexadecimal", "complement", "rounded", "other unit")


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
    states = _states(made, draw)
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
    if fill == "left" and made.kind != "separated":
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


def _states(made: Scale, draw: random.Random) -> list[Field]:
    if "status bits" in made.notes or "unit when steady" in made.notes:
        return []
    style = draw.choice((*STATES, "bits", "none"))
    made.notes.append(f"state {style}")
    if style == "none":
        made.has_mark = False
        return []
    if style == "bits":
        return [status_bits(draw.choice((0x30, 0x40)), 1, 0, 4, draw.choice((0, 8)))]
    return [state(*draw.choice(STATES[style]))]


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
        return self.whole(self.draw.randint(most // 40, most))

    def whole(self, count: int) -> int:
        """Cut a weight to whole divisions."""
        return count // self.scale.division * self.scale.division

    def heard(self, pans: list[Pan]) -> tuple[Chunk, ...]:
        """Give what the scale sent, in pieces as they come."""
        data = b"".join(self.scale.frame(pan) for pan in pans)
        chunks: list[Chunk] = []
        at = 0
        while at < len(data):
            size = self.draw.randint(1, 20)
            chunks.append(Chunk(len(chunks) * FRAME_S / 2, data[at : at + size]))
            at += size
        return tuple(chunks)
