"""Hold what a farm has set up: benches, boxes, packs, cultivars, blocks, people and the rest."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum
from typing import Final

from shedstation.domain.mass import Mass, Unit
from shedstation.domain.payload import ADDED_LATER
from shedstation.domain.price import Price
from shedstation.domain.scale_tolerance import Standard
from shedstation.domain.size_codes import SizeStandard

USUAL_CHECK_DAYS: Final = 30
"""Common practice, no published source: a scale in daily use is checked every month."""

MOST_CHECK_DAYS: Final = 366

MOST_DAYS_TO_BUYER: Final = 60
"""No mango is sold later (common practice, no published source)."""

LINE_SPEEDS: Final = (1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200)
"""Bits a second of a serial line."""

LINE_BITS: Final = ("auto", "8N1", "7E1", "7O1", "8N2", "7N2", "8E1", "8O1")
"""Data bits, parity and stop bits of a serial line; `auto` finds out."""


class NetOnLabel(Enum):
    """Whether a pack's label prints one declared weight or each box's own."""

    DECLARED = "declared"
    ACTUAL = "actual"


@dataclass(frozen=True, slots=True, kw_only=True)
class Farm:
    """Who packs, and where."""

    name: str
    address: tuple[str, ...]
    origin: str
    time_zone: str
    gtin_prefix: str | None = None


class Sends(Enum):
    """When a scale sends a reading."""

    STREAM = "stream"
    ON_KEY = "on_key"
    """One at each press of its print key."""

    WHEN_STEADY = "when_steady"
    """One each time a load has become steady."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A bench and its scale."""

    name: str
    """One to four capital letters or digits, beginning with a letter; part of every serial."""

    scale: str
    """Name of the scale's language, or `auto`."""

    unit: Unit
    division: Mass
    capacity: Mass
    port: str | None = None
    """A serial port by identity or name, or `socket://host:port`; none while nothing is connected."""

    baud: int = 9600
    bits: str = field(default="auto", metadata=ADDED_LATER)
    """One of `LINE_BITS`."""

    sends: Sends = field(default=Sends.STREAM, metadata=ADDED_LATER)
    cups: int = field(default=0, metadata=ADDED_LATER)
    """Numbered cups for single fruit beside the scale, three to six; 0 where there are none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxKind:
    """A kind of empty box and what it usually weighs."""

    kind: str
    tare_least: Mass
    tare_most: Mass
    panel_in: tuple[str, str]
    """Width and height of the side that carries the label, inches as decimal text."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """What is packed: box kind, target net weight, window and what the label declares."""

    name: str
    box: str
    target: Mass
    under: Mass
    over: Mass
    net_on_label: NetOnLabel
    label_net: Mass
    gtin: str | None = None
    size_standard: SizeStandard | None = field(default=None, metadata=ADDED_LATER)
    """By whose codes its fruit are sized; none where nobody asks."""

    size_code: str | None = field(default=None, metadata=ADDED_LATER)
    """The code its boxes claim, one of the standard's; none if each box has its own."""

    price: Price | None = field(default=None, metadata=ADDED_LATER)
    """What the fruit sell for, so that what is given away can be said in money."""

    share_below: str | None = field(default=None, metadata=ADDED_LATER)
    """Wanted share of boxes that may be lighter than the label, such as `2 %`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Coded:
    """A thing with a short code, used in actions and keys, and a name people read."""

    code: str
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Person(Coded):
    """Someone who packs; a lead may override, void, correct and set up."""

    is_lead: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """Everything a farm has set up, as one value."""

    farm: Farm
    benches: tuple[Bench, ...]
    boxes: tuple[BoxKind, ...]
    packs: tuple[Pack, ...]
    cultivars: tuple[Coded, ...]
    blocks: tuple[Coded, ...]
    grades: tuple[Coded, ...]
    defects: tuple[Coded, ...]
    rooms: tuple[Coded, ...]
    buyers: tuple[Coded, ...]
    people: tuple[Person, ...]
    label_template: str
    lead_pin_hash: str | None = None
    """Salted hash of the lead's PIN; none in a one-person shed. A reminder of who may, not security."""

    backup_folder: str | None = None
    spool: str = "folder"
    """`folder`, or `printer` for the system's printer."""

    printer: str | None = None
    printer_dpi: int = 203

    language: str = "en"

    scale_standard: Standard = field(default=Standard.US, metadata=ADDED_LATER)
    """Whose tolerances the benches' scales are checked by."""

    scale_check_days: int = field(default=USUAL_CHECK_DAYS, metadata=ADDED_LATER)
    """After so many days a scale is to be checked with test weights again; 0 never reminds."""

    tells_fruit: bool = field(default=False, metadata=ADDED_LATER)
    """Whether fruit are told when a recorded day is carried out; at the bench they always are."""

    days_to_buyer: int | None = field(default=None, metadata=ADDED_LATER)
    """Days until a buyer weighs the boxes: of the longest way, since nobody knows at the bench who buys.

    Like the room's air it holds for the whole shed, not for a pack: all packs stand in one room.
    """

    room_temperature: str | None = field(default=None, metadata=ADDED_LATER)
    """Of the room the boxes wait in, such as `60 F`."""

    humidity: str | None = field(default=None, metadata=ADDED_LATER)
    """Relative humidity of that room, such as `85 %`."""

    giveaway_by_packer: bool = field(default=False, metadata=ADDED_LATER)
    """Whether the farm wants to see what each packer gives away."""

    def bench(self, name: str) -> Bench:
        """Find a bench by name.

        Raises:
            KeyError: if no bench has that name.
        """
        return {bench.name: bench for bench in self.benches}[name]

    def box(self, kind: str) -> BoxKind:
        """Find a box kind.

        Raises:
            KeyError: if there is no such kind.
        """
        return {box.kind: box for box in self.boxes}[kind]

    def pack(self, name: str) -> Pack:
        """Find a pack by name.

        Raises:
            KeyError: if no pack has that name.
        """
        return {pack.name: pack for pack in self.packs}[name]

    def pack_or_none(self, name: str) -> Pack | None:
        """Find a pack by name; none if it is set up no more."""
        return next((pack for pack in self.packs if pack.name == name), None)

    def person(self, code: str) -> Person:
        """Find a person by code.

        Raises:
            KeyError: if nobody has that code.
        """
        return {person.code: person for person in self.people}[code]


def name_of(coded: Iterable[Coded], code: str) -> str:
    """Give the name that goes with a code; a code no longer set up stands for itself."""
    return next((each.name for each in coded if each.code == code), code)
