"""Say how much fruit went out above what the labels say, and how evenly the boxes were filled."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import groupby
from typing import Final

from shedstation.domain.control_charts import FillCharts, fill_charts
from shedstation.domain.farm import NetOnLabel, Pack
from shedstation.domain.fills import Fill, Filled
from shedstation.domain.mass import Mass, add_up, zero
from shedstation.domain.price import Money, rounded

SUBGROUP: Final = 5
"""Boxes of whole fruit are not filled normally; means of five nearly are (common practice, no published
source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Giveaway:
    """What boxes with a declared weight held above it."""

    boxes: int
    over: Mass
    """Sum over the boxes that held more; a light box takes nothing off it."""

    worth: Money | None
    """At the packs' prices, rounded once; none if none of these boxes has a price."""

    unpriced: int
    """Boxes of packs without a price: their part is not in the money."""

    @property
    def over_a_box(self) -> Fraction:
        """Get nanograms above the label in a box on the average."""
        return self.over.nanograms / self.boxes


@dataclass(frozen=True, slots=True, kw_only=True)
class GiveawaySums:
    """What a day and its week gave away, and each packer in that week."""

    day: Giveaway | None
    week: Giveaway | None
    by_packer: tuple[tuple[str | None, Giveaway], ...]
    """Codes of people in order, those who did not say who they were last."""


def given_away(boxes: Iterable[Filled], packs: Sequence[Pack]) -> Giveaway | None:
    """Add up what boxes held above their labels; none if no box declares a weight.

    Args:
        boxes: Standing boxes.
        packs: The packs set up. A pack sold by its actual weight gives nothing away.
    """
    declared = {pack.name: pack for pack in packs if pack.net_on_label is NetOnLabel.DECLARED}
    sold = [box for box in boxes if box.pack in declared]
    nothing = [zero(box.net.unit, box.net.decimals) for box in sold]
    heavy = [box for box in sold if box.net > box.net_on_label]
    # Scale and label may count in different units, which only `add_up` combines.
    over = [mass for box in heavy for mass in (box.net, -box.net_on_label)]
    total = add_up([*nothing, *over])
    if total is None:
        return None
    return Giveaway(
        boxes=len(sold),
        over=total,
        worth=_worth(heavy, sold, declared),
        unpriced=sum(declared[box.pack].price is None for box in sold),
    )


def _worth(heavy: Iterable[Filled], sold: Iterable[Filled], packs: dict[str, Pack]) -> Money | None:
    """Price what was over, exactly; the setup holds all prices to one currency."""
    prices = {name: packs[name].price for name in {box.pack for box in sold}}
    currency = next((price.currency for price in prices.values() if price is not None), None)
    if currency is None:
        return None
    amount = Fraction(0)
    for box in heavy:
        price = prices[box.pack]
        if price is not None:
            amount += price.worth(box.net) - price.worth(box.net_on_label)
    return rounded(amount, currency)


def giveaway_sums(
    fills: Sequence[Fill], packs: Sequence[Pack], day: date, *, by_packer: bool
) -> GiveawaySums:
    """Sum a week's fills for the day, the week and, if wanted, each packer.

    Args:
        fills: Standing boxes of one week.
        packs: The packs set up.
        day: The day in that week.
        by_packer: Whether to sum for each packer.
    """
    people = sorted({fill.by for fill in fills}, key=lambda by: (by is None, by or ""))
    sums = [
        (person, given_away((fill for fill in fills if fill.by == person), packs))
        for person in (people if by_packer else ())
    ]
    return GiveawaySums(
        day=given_away((fill for fill in fills if fill.packed_on == day), packs),
        week=given_away(fills, packs),
        by_packer=tuple((person, each) for person, each in sums if each is not None),
    )


def given_by_pack(
    boxes: Sequence[Filled], packs: Sequence[Pack]
) -> tuple[tuple[Pack, Giveaway], ...]:
    """Add up what each pack with a price gave away, in the order of the setup."""
    priced = [pack for pack in packs if pack.price is not None]
    sums = [(p, given_away((box for box in boxes if box.pack == p.name), [p])) for p in priced]
    return tuple((pack, given) for pack, given in sums if given is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartedFills:
    """Charts of fills in fives, and the day of each five."""

    days: tuple[date, ...]
    charts: FillCharts


def charted_fills(
    boxes: Iterable[Filled],
    pack: Pack,
    *,
    targets: Mapping[date, Mass] | None = None,
    most: int | None = None,
) -> ChartedFills | None:
    """Chart how far from its target each box of a pack was filled, in nanograms, by fives in order.

    Packs are never mixed: each has its own window and so its own spread. Nor are days or benches:
    a five shows what chance does only where nothing else changed.

    Args:
        boxes: Standing boxes in order of closing.
        pack: The pack to chart.
        targets: The pack's target on days when it may have been another one; a fill is measured against
            the target of its own day, so that a new target does not look like trouble.
        most: Chart only so many of the last fives; none for all of them.

    Returns:
        The charts, or none without five boxes; what does not fill a five at a day's end is left out.
    """
    of_pack = sorted((box for box in boxes if box.pack == pack.name), key=_day_and_bench)
    fives = [
        (day, five)
        for (day, _), together in groupby(of_pack, key=_day_and_bench)
        for five in _fives(_above((targets or {}).get(day, pack.target), together))
    ][-(most or 0) :]
    if not fives:
        return None
    days = tuple(day for day, _ in fives)
    return ChartedFills(days=days, charts=fill_charts([five for _, five in fives]))


def _day_and_bench(box: Filled) -> tuple[date, str]:
    return box.packed_on, box.bench


def _above(target: Mass, boxes: Iterable[Filled]) -> Sequence[Fraction]:
    return [box.net.nanograms - target.nanograms for box in boxes]


def _fives(above: Sequence[Fraction]) -> list[Sequence[Fraction]]:
    whole = len(above) // SUBGROUP * SUBGROUP
    return [above[start : start + SUBGROUP] for start in range(0, whole, SUBGROUP)]
