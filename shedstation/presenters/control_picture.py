"""Turn control charts into pictures with a sentence each, or say what they need."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import pairwise
from typing import Final

from shedstation.domain.control_charts import FIRM_FROM, Chart, Point
from shedstation.domain.cull_charts import CullChart
from shedstation.domain.giveaway import SUBGROUP, ChartedFills
from shedstation.domain.mass import Mass, Unit
from shedstation.words import Words

_MOST_TICKS: Final = 8


@dataclass(frozen=True, slots=True)
class ControlPicture:
    """One control chart in the unit it is drawn in; nothing is drawn without points."""

    said: str
    unit: str = ""
    center: float = 0.0
    points: tuple[Point, ...] = ()
    ticks: tuple[tuple[int, str], ...] = ()
    """Place of the first point of a day, and the day."""


def fill_pictures(
    charted: ChartedFills | None, pack: str, division: Mass, words: Words
) -> tuple[ControlPicture, ControlPicture]:
    """Show means and ranges of fives, about the pack's target, in the scale's unit."""
    if charted is None:
        lacking = words.text("fill.chart_lacks_fills", pack=pack, boxes=SUBGROUP)
        return ControlPicture(lacking), ControlPicture("")
    charts = charted.charts
    means = {name: _mass(value, division) for name, value in _limits(charts.mean).items()}
    ranges = {name: _mass(value, division) for name, value in _limits(charts.range).items()}
    spread = _mass(charts.sigma, division)
    said = (
        words.text("fill.means_said", pack=pack, **means, **_out(charts.mean)),
        words.text("fill.ranges_said", spread=spread, **ranges, **_out(charts.range)),
    )
    drawn = [_in_unit(each, division.unit) for each in (charts.mean, charts.range)]
    unit = division.unit.value.replace(Unit.LB_OZ.value, Unit.OZ.value)
    first, second = (
        ControlPicture(
            _firm(text, chart, words), unit, chart.center, chart.points, _ticks(charted.days)
        )
        for text, chart in zip(said, drawn, strict=True)
    )
    return first, second


def cull_pictures(
    shares: CullChart | None, rates: CullChart | None, words: Words
) -> tuple[ControlPicture, ControlPicture]:
    """Show the share of fruit culled and culled fruit a box, day by day."""
    a_box = words.text("fill.fruit_a_box")
    return (
        _cull_picture(shares, ("fill.share_said", "fill.share_lacks"), 100, "%", words),
        _cull_picture(rates, ("fill.rate_said", "fill.rate_lacks"), 1, a_box, words),
    )


def _cull_picture(
    shown: CullChart | None, names: tuple[str, str], times: int, unit: str, words: Words
) -> ControlPicture:
    said, lacks = names
    if shown is None:
        return ControlPicture(words.text(lacks))
    chart = _scaled(shown.chart, times)
    text = words.text(said, center=f"{chart.center:.2f}", **_out(chart))
    if shown.left_out:
        text = f"{text} {words.text('fill.days_left_out', count=shown.left_out)}"
    return ControlPicture(
        _firm(text, chart, words), unit, chart.center, chart.points, _ticks(shown.days)
    )


def _limits(chart: Chart) -> dict[str, float]:
    """Give centre and limits that hold for all points of a chart of equal subgroups."""
    point = chart.points[0]
    return {"center": chart.center, "lower": point.lower or 0.0, "upper": point.upper}


def _out(chart: Chart) -> dict[str, int]:
    return {"out": sum(point.is_out for point in chart.points), "points": len(chart.points)}


def _firm(text: str, chart: Chart, words: Words) -> str:
    return text if chart.is_firm else f"{text} {words.text('fill.not_firm', least=FIRM_FROM)}"


def _mass(nanograms: float, division: Mass) -> Mass:
    """Give a figure of a chart with one decimal more than the scale has."""
    decimals, unit = division.decimals + 1, division.unit
    return Mass(round(Fraction(nanograms) * 10**decimals / unit.nanograms), decimals, unit)


def _in_unit(chart: Chart, unit: Unit) -> Chart:
    return _scaled(chart, 1 / unit.nanograms)


def _scaled(chart: Chart, times: float) -> Chart:
    points = tuple(
        Point(
            value=point.value * times,
            lower=None if point.lower is None else point.lower * times,
            upper=point.upper * times,
            is_out=point.is_out,
        )
        for point in chart.points
    )
    return Chart(center=chart.center * times, points=points)


def _ticks(days: Sequence[date]) -> tuple[tuple[int, str], ...]:
    """Name the day at its first point, of every so many days, few enough to be read."""
    first = [0, *(at for at, (one, other) in enumerate(pairwise(days), start=1) if one != other)]
    step = -(-len(first) // _MOST_TICKS)
    return tuple((at, days[at].isoformat()[5:]) for at in first[::step])
