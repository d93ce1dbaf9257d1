"""Chart culls day by day: the share of fruit culled (p), and culled fruit a box packed (u)."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from shedstation.domain.control_charts import Chart, rate_chart, share_chart
from shedstation.domain.fills import CullDay


@dataclass(frozen=True, slots=True, kw_only=True)
class CullChart:
    """A chart, the days it is made of, and how many days could not be charted."""

    days: tuple[date, ...]
    chart: Chart
    left_out: int


def culled_share(days: Sequence[CullDay]) -> CullChart | None:
    """Chart the share of fruit culled, of all fruit looked at: those in boxes and those culled.

    A day counts only if all its boxes were counted and all its culls have a count: weights are no
    counts, and a day counted in part would look better or worse than it was.

    Returns:
        The p chart, or none if there is no such day.
    """
    whole = [
        day for day in days if not day.uncounted_boxes and not day.uncounted_entries and day.fruit
    ]
    if not whole:
        return None
    chart = share_chart([day.culled for day in whole], [day.fruit + day.culled for day in whole])
    return _chart_of(whole, chart, days)


def culled_a_box(days: Sequence[CullDay]) -> CullChart | None:
    """Chart culled fruit for each box packed: the unit looked at is a box's worth of fruit.

    Returns:
        The u chart, or none if on no day boxes were packed and all culls have a count.
    """
    whole = [day for day in days if day.boxes and not day.uncounted_entries]
    if not whole:
        return None
    chart = rate_chart([day.culled for day in whole], [day.boxes for day in whole])
    return _chart_of(whole, chart, days)


def _chart_of(whole: Sequence[CullDay], chart: Chart, days: Sequence[CullDay]) -> CullChart:
    dates = tuple(day.day for day in whole)
    return CullChart(days=dates, chart=chart, left_out=len(days) - len(whole))
