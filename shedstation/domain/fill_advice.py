"""Bring together what a pack's aim is made of: label, spread, scale, and the loss on the way."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from fractions import Fraction
from math import ceil
from typing import Final

from shedstation.domain.air import celsius, share
from shedstation.domain.control_charts import FillCharts
from shedstation.domain.farm import Bench, NetOnLabel, Pack, Setup
from shedstation.domain.fill_target import FillAim, FillWish, aim_of_fill
from shedstation.domain.mass import Mass, add_up, counted_in
from shedstation.domain.moisture import modelled_loss
from shedstation.domain.price import Price
from shedstation.domain.reweighing import BoxReweigh, FarmLoss, farm_loss
from shedstation.domain.scale_tolerance import judged_division, tolerance

USUAL_SHARE_BELOW: Final = "2 %"
"""Of boxes that may weigh less than the label at the buyer's (our rule)."""

_FINEST_DECIMALS: Final = 6


class Lacking(Enum):
    """What is missing before an aim can be said."""

    LABEL = "label"
    """The pack is sold by what each box weighs."""

    FILLS = "fills"
    """Too few boxes to know the spread."""

    AIR = "air"
    """There are days on the way, but neither the room's air nor enough reweighed boxes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """What lies between bench and buyer; none where it is not known."""

    days: int | None
    temperature: str | None
    """As text, `60 F`."""

    humidity: str | None
    """As text, `85 %`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What a person says of a pack and its way to the buyer; none where nothing is said."""

    way: Way
    share_below: str | None
    price: Price | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FillAdvice:
    """What to aim at, and what it was computed from."""

    aim: FillAim
    floor: Mass
    """The lightest box that is not light at the buyer's: label, loss and scale, to a whole division."""

    wish: FillWish
    loss: FarmLoss | None
    """The farm's own or the model's; none where no day lies between bench and buyer."""

    is_firm: bool
    """Whether the spread rests on enough fives."""

    reweighed: int
    """Boxes weighed again so far that teach a loss."""


def loss_on(way: Way, reweighs: Sequence[BoxReweigh], cultivar: str | None) -> FarmLoss | None:
    """Give the loss a day: from the farm's own reweighed boxes if there are enough, else by the model.

    Returns:
        None if there are too few boxes and the room's air is not known.
    """
    learned = farm_loss(reweighs, cultivar)
    if learned is not None or way.temperature is None or way.humidity is None:
        return learned
    modelled = modelled_loss(float(celsius(way.temperature)), float(share(way.humidity)))
    return FarmLoss(cultivar=None, loss=modelled)


def advise_fill(
    pack: Pack,
    bench: Bench,
    setup: Setup,
    *,
    way: Way,
    charts: FillCharts | None,
    reweighs: Sequence[BoxReweigh],
    cultivar: str | None,
) -> FillAdvice | Lacking:
    """Say what net weight to aim at, or what is lacking to say it.

    Args:
        pack: The pack; its `share_below` or the usual one counts.
        bench: The bench whose scale and spread count.
        setup: The farm's setup, for the box and the scale's standard.
        way: Days, temperature and humidity on the way to the buyer.
        charts: Charts of the bench's fills of this pack, if it had five boxes.
        reweighs: Boxes that the farm weighed again.
        cultivar: What is packed, whose own loss counts first; none if nothing is chosen.
    """
    if pack.net_on_label is not NetOnLabel.DECLARED:
        return Lacking.LABEL
    if charts is None:
        return Lacking.FILLS
    loss = loss_on(way, reweighs, cultivar) if way.days else None
    if way.days and loss is None:
        return Lacking.AIR
    label = _in_unit_of(bench, pack.label_net)
    wish = FillWish(
        label=label,
        share_below=float(share(pack.share_below or USUAL_SHARE_BELOW)),
        spread=charts.sigma / label.unit.nanograms,
        scale_tolerance=_tolerance(label, pack, bench, setup),
        division=bench.division,
        loss=loss.loss.after(way.days) if loss and way.days else 0.0,
    )
    taught = len({each.serial for each in reweighs if each.teaches_loss})
    return FillAdvice(
        aim=aim_of_fill(wish),
        floor=_floor(wish),
        wish=wish,
        loss=loss,
        is_firm=charts.mean.is_firm,
        reweighed=taught,
    )


def _floor(wish: FillWish) -> Mass:
    step = wish.division.nanograms
    needed = wish.label.nanograms / (1 - Fraction(wish.loss)) + wish.scale_tolerance.nanograms
    # A millionth of a division is noise of the arithmetic, as for the target.
    return wish.division * ceil(needed / step - Fraction(1, 1_000_000))


def _in_unit_of(bench: Bench, label: Mass) -> Mass:
    """Give the label's mass in the scale's unit, never less: rounded up where no decimals can say it."""
    same = counted_in(label, bench.unit)
    if same.unit is bench.unit:
        return same
    cut = label.in_unit(bench.unit, _FINEST_DECIMALS)
    return Mass(cut.count + 1, cut.decimals, cut.unit)


def _tolerance(label: Mass, pack: Pack, bench: Bench, setup: Setup) -> Mass:
    """Give by how much the scale may be off with the heaviest empty box under the fruit."""
    gross = add_up([label, setup.box(pack.box).tare_most])
    judged = judged_division(bench.division, bench.capacity)
    return tolerance(gross or label, judged, setup.scale_standard)


def aimed(pack: Pack, advice: FillAdvice) -> Pack:
    """Give the pack with the aim as its target, and a floor that covers the loss and the scale.

    Between them lies what the spread added: the bench then closes no box that would be light at the
    buyer's, and the share that was allowed is the share of boxes that land below the floor and are
    topped up. With its floor left at the label the bench would call boxes full that lose too much; with
    its floor at the target the spread would be given away twice. What the label declares stays, and the
    room above the target.
    """
    target = advice.aim.target
    return replace(pack, target=target, under=target - advice.floor)


def figures_of(setup: Setup, pack: Pack) -> Figures:
    """Give what a setup says of a pack and the way to the buyer."""
    way = Way(days=setup.days_to_buyer, temperature=setup.room_temperature, humidity=setup.humidity)
    return Figures(way=way, share_below=pack.share_below, price=pack.price)


def with_figures(setup: Setup, pack: Pack, figures: Figures) -> Setup:
    """Give a setup that says these figures of a pack, which may have another target than before."""
    said = replace(pack, share_below=figures.share_below, price=figures.price)
    return replace(
        setup,
        packs=tuple(said if each.name == pack.name else each for each in setup.packs),
        days_to_buyer=figures.way.days,
        room_temperature=figures.way.temperature,
        humidity=figures.way.humidity,
    )
