"""Draw a random sample of a lot of boxes and follow it while it is weighed again.

The packer's own control: officials decide by their own tests.

Each box's net is its gross now less its own empty weight, taken when it was packed. That is an unused
dry tare box by box, closer than the average tare of a few boxes that Handbook 133 asks an official to
open (its tare tables are from memory, low), and no packed box is spoiled for it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import Enum
from fractions import Fraction
from hashlib import sha256
from typing import Final

from shedstation.domain.average_quantity import Rule, quantity_plan, tolerable_deficiency
from shedstation.domain.box import Box
from shedstation.domain.decimal_text import plain, rounded
from shedstation.domain.farm import Bench
from shedstation.domain.handbook_133 import maximum_allowable_variation, sampling_plan
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reweighing import BoxReweigh
from shedstation.domain.scale_tolerance import Standard, divisions_of, judged_division, tolerance

MOST_ALLOWANCE: Final = 10
"""Percent; more than is allowed for any moisture (flour, pasta, poultry: 3 %, memory, medium)."""

_DIVISIONS_IN_MAV: Final = 6
_LEAST_DIVISIONS: Final = 100
"""Handbook 133 (2020) section 2.2, read: 100 divisions or more, none over a sixth of the MAV."""

_LIMIT_PLACES: Final = 4
_ERRORS_IN_T: Final = 5
"""UK SI 2006/659 Schedule 2, read: contents are measured to within a fifth of the tolerable deficiency.
R 87 asks the same (memory, medium)."""


class AuditRule(Enum):
    """By whose rule a lot is judged."""

    HANDBOOK_133 = "handbook_133"
    R87 = "r87"
    EU = "eu"

    @property
    def average_quantity(self) -> Rule | None:
        """Get the rule of the average quantity system; none for Handbook 133."""
        return {AuditRule.R87: Rule.R87, AuditRule.EU: Rule.REFERENCE}.get(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class LotKey:
    """What the boxes of a lot under audit have in common."""

    pack: str
    packed_on: date
    label: Mass
    lot: str | None = None
    """One lot of the day; none for all of them."""

    def holds(self, box: Box) -> bool:
        """Tell whether a box in the shed belongs to it."""
        of_lot = self.lot is None or box.lot == self.lot
        same = box.pack == self.pack and box.net_on_label.same_as(self.label)
        return is_in_shed(box) and box.packed_on == self.packed_on and of_lot and same


@dataclass(frozen=True, slots=True, kw_only=True)
class Fineness:
    """Whether a scale is fine enough to judge a lot by."""

    found: Mass
    """Its division; for R 87 and the reference test by how much it may be off."""

    most: str
    """What that may be at the most, decimal text in `unit`."""

    unit: Unit
    is_enough: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Replaced:
    """A picked box that could not be weighed, and the one weighed in its place."""

    serial: str
    by: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Audit:
    """An audit that was begun: the lot, and which of its boxes are weighed."""

    key: LotKey
    rule: AuditRule
    allowance: str
    """Percent of the label allowed for moisture, as decimal text; `0` where the fruit were packed."""

    number: int
    """Which audit of the station it is, from 1."""

    seed: str
    """What the boxes were drawn with; in the data it is the audit's name too."""

    boxes: tuple[str, ...]
    """Serials of the lot in order of closing."""

    picks: tuple[str, ...]
    """Serials to weigh, in the order they were drawn; replaced ones are no more among them."""

    scale: Fineness
    by: str | None = None
    replaced: tuple[Replaced, ...] = ()

    @property
    def spare(self) -> str | None:
        """Get the next box that was drawn and is not in the sample; none if no box is left."""
        gone = {*self.picks, *(each.serial for each in self.replaced)}
        return next((each for each in drawn(self.seed, self.boxes) if each not in gone), None)

    def without(self, serial: str, reason: str) -> "Audit":
        """Give the audit with another box in place of one that could not be weighed.

        Raises:
            ValueError: if the serial is not picked, or no box is left.
        """
        spare = self.spare
        if spare is None or serial not in self.picks:
            msg = f"Cannot replace {serial}: expected a picked box and one left over."
            raise ValueError(msg)
        picks = tuple(spare if each == serial else each for each in self.picks)
        gone = Replaced(serial=serial, by=spare, reason=reason)
        return replace(self, picks=picks, replaced=(*self.replaced, gone))


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditSoFar:
    """An audit and what was weighed for it so far."""

    audit: Audit
    reweighs: tuple[BoxReweigh, ...] = ()

    @property
    def left(self) -> tuple[str, ...]:
        """Get the serials still to be weighed, in the order they were drawn."""
        weighed = {each.serial for each in self.reweighs}
        return tuple(each for each in self.audit.picks if each not in weighed)

    def weighed(self, box: BoxReweigh) -> "AuditSoFar":
        """Give the audit with one more box weighed."""
        return replace(self, reweighs=(*self.reweighs, box))

    @property
    def in_order(self) -> tuple[BoxReweigh, ...]:
        """Get what was weighed in the order it was drawn, whatever the order of weighing."""
        place = {serial: number for number, serial in enumerate(self.audit.picks)}
        return tuple(sorted(self.reweighs, key=lambda each: place[each.serial]))


def is_in_shed(box: Box) -> bool:
    """Tell whether a box stands in the shed: neither voided nor with a buyer."""
    return not box.voided and box.dispatched_to is None


def lots_of(boxes: Iterable[Box]) -> tuple[LotKey, ...]:
    """Give what can be audited of a day's boxes: each pack with each weight its labels declare."""
    found: list[LotKey] = []
    for box in boxes:
        if is_in_shed(box) and not any(key.holds(box) for key in found):
            label = box.net_on_label
            found.append(LotKey(pack=box.pack, packed_on=box.packed_on, label=label))
    return tuple(found)


def sample_size(rule: AuditRule, lot: int) -> int:
    """Give how many boxes of a lot are weighed.

    Raises:
        ValueError: if the lot has no box.
    """
    by_average = rule.average_quantity
    if by_average is None:
        return sampling_plan(lot).sample
    return quantity_plan(lot, by_average).contents


def drawn(seed: str, serials: Sequence[str]) -> tuple[str, ...]:
    """Give all serials in a random order that anybody can check from the seed.

    They are sorted by the SHA-256 of seed, a blank and serial: no order is likelier than another.
    """
    return tuple(sorted(serials, key=lambda serial: sha256(f"{seed} {serial}".encode()).digest()))


def picked(seed: str, rule: AuditRule, serials: Sequence[str]) -> tuple[str, ...]:
    """Give the serials to weigh: as many as the rule's plan asks for, in the order they are drawn.

    Raises:
        ValueError: if the lot has no box.
    """
    return drawn(seed, serials)[: sample_size(rule, len(serials))]


def _limit(most: Fraction) -> str:
    return (
        plain(most) if (most * 10**_LIMIT_PLACES).denominator == 1 else rounded(most, _LIMIT_PLACES)
    )


def fineness(rule: AuditRule, label: Mass, bench: Bench, standard: Standard) -> Fineness:
    """Say whether a bench's scale is fine enough: a sixth of the MAV, a fifth of the deficiency T."""
    by_average = rule.average_quantity
    if by_average is None:
        most = maximum_allowable_variation(label) / _DIVISIONS_IN_MAV
        many = divisions_of(bench.capacity, bench.division) >= _LEAST_DIVISIONS
        is_enough = many and bench.division.measured_in(label.unit) <= most
        found, unit = bench.division, label.unit
        return Fineness(found=found, most=_limit(most), unit=unit, is_enough=is_enough)
    most = tolerable_deficiency(label, by_average) / _ERRORS_IN_T
    off = tolerance(label, judged_division(bench.division, bench.capacity), standard)
    is_enough = off.measured_in(Unit.G) <= most
    return Fineness(found=off, most=_limit(most), unit=Unit.G, is_enough=is_enough)
