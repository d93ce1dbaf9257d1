"""Say whether a bench's scale is fine enough for what is packed on it.

Class III limits and the least load are published (HB 44 section 2.20 Tables 3 and 8, R 76-1 Table
3). The window's rules are this program's own: with fewer than two divisions in the window one step
of the display goes past it, with fewer than five a step is over a fifth of it, and where the scale in
order may be off by more than half the window, no reading can say that a box is on weight.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from shedstation.domain.farm import Bench, Pack, Setup
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.scale_tolerance import (
    Standard,
    class_iii_divisions,
    divisions_of,
    judged_division,
    least_load,
    tolerance,
)

LEAST_IN_WINDOW: Final = 2
ENOUGH_IN_WINDOW: Final = 5


def divisions_in_window(pack: Pack, division: Mass) -> Fraction:
    """Give the width of a pack's window, target - under to target + over, in divisions."""
    return _width(pack) / division.nanograms


def _width(pack: Pack) -> Fraction:
    return pack.under.nanograms + pack.over.nanograms


def is_too_coarse(pack: Pack, division: Mass) -> bool:
    """Tell whether a scale is too coarse to pack this at all."""
    return divisions_in_window(pack, division) < LEAST_IN_WINDOW


def setup_warnings(setup: Setup) -> list[Message]:
    """Give what speaks against packing what is set up on the scales that are, each thing once."""
    found = [
        message
        for bench in setup.benches
        for pack in setup.packs
        for message in pack_warnings(pack, bench, setup.scale_standard)
    ]
    return [each for place, each in enumerate(found) if each not in found[:place]]


def pack_warnings(pack: Pack, bench: Bench, standard: Standard) -> Iterator[Message]:
    """Give what speaks against packing this on that bench's scale, the pack's own troubles first."""
    if divisions_in_window(pack, bench.division) < ENOUGH_IN_WINDOW:
        values = {"pack": pack.name, "division": bench.division, "enough": ENOUGH_IN_WINDOW}
        yield Message("fit.few_divisions", values)
    judged = judged_division(bench.division, bench.capacity)
    allowed = tolerance(pack.target, judged, standard)
    if allowed.nanograms * 2 > _width(pack):
        values = {"pack": pack.name, "tolerance": allowed, "target": pack.target}
        yield Message("fit.tolerance", values)
    if pack.target < least_load(bench.division):
        values = {"pack": pack.name, "target": pack.target, "least": least_load(bench.division)}
        yield Message("fit.light_load", values)
    yield from bench_warnings(bench)


def bench_warnings(bench: Bench) -> Iterator[Message]:
    """Give what keeps a bench's scale from being of class III."""
    limits = class_iii_divisions(bench.division)
    divisions = divisions_of(bench.capacity, bench.division)
    values = {"bench": bench.name, "capacity": bench.capacity, "division": bench.division}
    if limits is None:
        yield Message("fit.fine_division", values)
    elif not limits[0] <= divisions <= limits[1]:
        found = {"divisions": int(divisions), "least": limits[0], "most": limits[1]}
        yield Message("fit.divisions", values | found)
