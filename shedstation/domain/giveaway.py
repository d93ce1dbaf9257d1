"""Say how much fruit went out above what the labels say, and how evenly the boxes were filled."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from shedstation.domain.box import Box
from shedstation.domain.control_charts import FillCharts, fill_charts
from shedstation.domain.farm import NetOnLabel, Pack
from shedstation.domain.mass import Mass, add_up, zero

SUBGROUP: Final = 5
"""Boxes of whole fruit are not filled normally; means of five nearly are (common practice, no published
source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Giveaway:
    """What boxes with a declared weight held above it."""

    boxes: int
    over: Mass
    """Sum over the boxes that held more; a light box takes nothing off it."""


def given_away(boxes: Iterable[Box], packs: Sequence[Pack]) -> Giveaway | None:
    """Add up what boxes held above their labels; none if no box declares a weight.

    Args:
        boxes: Boxes as they stand; voided ones are left out.
        packs: The packs set up. A pack sold by its actual weight gives nothing away.
    """
    declared = {pack.name for pack in packs if pack.net_on_label is NetOnLabel.DECLARED}
    sold = [box for box in boxes if box.pack in declared and not box.voided]
    nothing = [zero(box.net.unit, box.net.decimals) for box in sold]
    heavy = [box for box in sold if box.net > box.net_on_label]
    # Scale and label may count in different units, which only `add_up` combines.
    over = [mass for box in heavy for mass in (box.net, -box.net_on_label)]
    total = add_up([*nothing, *over])
    return None if total is None else Giveaway(boxes=len(sold), over=total)


def charted_fills(boxes: Iterable[Box], pack: Pack) -> FillCharts | None:
    """Chart how far from its target each box of a pack was filled, in nanograms, by fives in order.

    Packs are never mixed: each has its own window and so its own spread.

    Returns:
        The charts, or none without five boxes; what does not fill a five at the end is left out.
    """
    above = [
        box.net.nanograms - pack.target.nanograms
        for box in boxes
        if box.pack == pack.name and not box.voided
    ]
    whole = len(above) // SUBGROUP * SUBGROUP
    fives = [above[start : start + SUBGROUP] for start in range(0, whole, SUBGROUP)]
    return fill_charts(fives) if fives else None
