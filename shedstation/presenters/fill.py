"""Turn a day's boxes into the picture of how they were filled, each against its own target."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from shedstation.domain.box import Box
from shedstation.domain.farm import Pack, Setup
from shedstation.domain.giveaway import charted_fills, given_away
from shedstation.domain.limits import Verdict, limits
from shedstation.domain.mass import Mass, Unit
from shedstation.presenters.times import clock_time
from shedstation.words import Words

_MOST_TICKS: Final = 8


@dataclass(frozen=True, slots=True)
class FillMark:
    """One box: where its net and its window lie about its target, in units, for drawing only."""

    net: float
    lowest: float
    highest: float
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class FillPicture:
    """The day's boxes in order of closing, all in one unit."""

    unit: str
    marks: tuple[FillMark, ...]
    ticks: tuple[tuple[int, str], ...]
    """Place of a box in the order, and the local time of its closing."""

    said: str
    """The same in words: how far from the target the lightest, the mean and the heaviest lie."""

    control: str
    """What was given away, and whether the fills vary by more than chance, line by line."""

    @property
    def span(self) -> tuple[float, float]:
        """Get the ends of the picture: all windows, and as much again above and below."""
        lowest = min(mark.lowest for mark in self.marks)
        highest = max(mark.highest for mark in self.marks)
        return 2 * lowest - highest, 2 * highest - lowest


def fill_picture(boxes: Sequence[Box], setup: Setup, words: Words) -> FillPicture:
    """Give the picture of boxes in order of closing; boxes of a pack set up no more are left out."""
    packs = {pack.name: pack for pack in setup.packs}
    divisions = {bench.name: bench.division for bench in setup.benches}
    shown = [box for box in boxes if box.pack in packs and box.bench in divisions]
    if not shown:
        return FillPicture("", (), (), "", "")
    like = shown[0].net
    marks = tuple(
        _mark(box, packs[box.pack], divisions[box.bench], like.unit.nanograms) for box in shown
    )
    unit = Unit.OZ if like.unit is Unit.LB_OZ else like.unit
    said = _said([_offset(box.net, packs[box.pack]) for box in shown], like, words)
    control = "\n".join(_control(shown, setup.packs, like, words))
    return FillPicture(unit.value, marks, _ticks(shown, setup.farm.time_zone), said, control)


def _control(
    boxes: Sequence[Box], packs: Sequence[Pack], like: Mass, words: Words
) -> Iterator[str]:
    """Say what went out over the labels, and how even the fills of the pack most packed are."""
    given = given_away(boxes, packs)
    if given is not None:
        name = "ui.given_away" if given.worth is None else "ui.given_away_worth"
        yield words.text(name, over=given.over, boxes=given.boxes, worth=given.worth)
    names = [box.pack for box in boxes]
    pack = max(
        (pack for pack in packs if pack.name in names), key=lambda each: names.count(each.name)
    )
    charted = charted_fills(boxes, pack)
    if charted is not None:
        charts = charted.charts
        spread = _as(like, Fraction(charts.sigma))
        fives = zip(charts.mean.points, charts.range.points, strict=True)
        out = sum(mean.is_out or span.is_out for mean, span in fives)
        name = "ui.fill_control" if charts.mean.is_firm else "ui.fill_control_early"
        yield words.text(
            name, pack=pack.name, spread=spread, out=out, groups=len(charts.mean.points)
        )


def _mark(box: Box, pack: Pack, division: Mass, unit_ng: int) -> FillMark:
    window = limits(pack, division)
    net, lowest, highest = (
        float(_offset(mass, pack) / unit_ng) for mass in (box.net, window.lowest, window.highest)
    )
    return FillMark(net, lowest, highest, box.verdict)


def _offset(mass: Mass, pack: Pack) -> Fraction:
    """Give nanograms above the target."""
    return mass.nanograms - pack.target.nanograms


def _said(offsets: Sequence[Fraction], like: Mass, words: Words) -> str:
    """Say lightest, mean and heaviest in the unit and decimals of the scale."""
    mean = sum(offsets, Fraction(0)) / len(offsets)
    least, middle, most = (_as(like, each) for each in (min(offsets), mean, max(offsets)))
    return words.text("ui.fill_said", least=least, mean=middle, most=most)


def _as(like: Mass, nanograms: Fraction) -> Mass:
    count = round(nanograms * 10**like.decimals / like.unit.nanograms)
    return Mass(count, like.decimals, like.unit)


def _ticks(boxes: Sequence[Box], time_zone: str) -> tuple[tuple[int, str], ...]:
    """Name the time of every so many boxes, few enough to be read."""
    step = -(-len(boxes) // _MOST_TICKS)
    return tuple((at, clock_time(boxes[at].at, time_zone)) for at in range(0, len(boxes), step))
