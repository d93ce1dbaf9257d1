"""What goes out over the labels, by day, week and packer; fives of one day and bench; culls a day."""

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedstation.domain.cull_charts import culled_a_box, culled_share
from shedstation.domain.farm import Pack, Setup
from shedstation.domain.fills import CullDay, Fill, week_of
from shedstation.domain.giveaway import charted_fills, giveaway_sums, given_away
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.price import parse_price

MONDAY = date(2026, 6, 15)


def fill(
    net: str, *, day: int = 0, by: str | None = "ana", pack: str = "Flat 25 lb", bench: str = "B1"
) -> Fill:
    return Fill(
        pack=pack,
        packed_on=MONDAY + timedelta(days=day),
        bench=bench,
        by=by,
        net=parse_mass(net),
        net_on_label=parse_mass("25 lb" if pack.startswith("Flat") else net),
    )


def priced(setup: Setup, price: str | None = "1.20 USD/lb") -> tuple[Pack, ...]:
    first = replace(setup.packs[0], price=None if price is None else parse_price(price))
    return (first, *setup.packs[1:])


def test_that_money_is_added_exactly_and_rounded_once(sample_setup: Setup) -> None:
    # 3 x 0.01 lb x 0.15 USD/lb = 0.0045 USD: rounded box by box it would be 0.00 three times.
    boxes = [fill("25.01 lb")] * 4
    given = given_away(boxes, priced(sample_setup, "0.15 USD/lb"))
    assert given is not None
    assert (str(given.over), str(given.worth)) == ("0.04 lb", "0.01 USD")
    assert given.over_a_box == Fraction(Unit.LB.nanograms, 100)


def test_that_a_light_box_takes_nothing_off_and_a_tray_gives_nothing(sample_setup: Setup) -> None:
    boxes = [fill("25.50 lb"), fill("24.00 lb"), fill("10.40 lb", pack="Tray by weight")]
    given = given_away(boxes, priced(sample_setup))
    assert given is not None
    assert (given.boxes, str(given.over), str(given.worth)) == (2, "0.50 lb", "0.60 USD")
    assert given_away(boxes[2:], priced(sample_setup)) is None


def test_that_boxes_without_a_price_are_told_apart(sample_setup: Setup) -> None:
    other = replace(sample_setup.packs[0], name="Flat B")
    packs = (*priced(sample_setup), other)
    boxes = [fill("25.50 lb"), fill("26.00 lb", pack="Flat B")]
    given = given_away(boxes, packs)
    assert given is not None
    assert (str(given.over), str(given.worth), given.unpriced) == ("1.50 lb", "0.60 USD", 1)
    without = given_away(boxes, priced(sample_setup, None))
    assert without is not None
    assert (without.worth, without.unpriced) == (None, 1)


@given(st.lists(st.tuples(st.integers(2450, 2600), st.integers(0, 6), st.sampled_from("abc"))))
def test_that_packers_and_days_sum_to_the_week(
    sample_setup: Setup, boxes: list[tuple[int, int, str]]
) -> None:
    fills = [fill(str(Mass(net, 2, Unit.LB)), day=day, by=by) for net, day, by in boxes]
    packs = priced(sample_setup)
    sums = giveaway_sums(fills, packs, MONDAY, by_packer=True)
    days = [
        giveaway_sums(fills, packs, MONDAY + timedelta(days=day), by_packer=False).day
        for day in range(7)
    ]
    whole = 0 if sums.week is None else sums.week.over.nanograms
    assert sum(each.over.nanograms for _, each in sums.by_packer) == whole
    assert sum(each.over.nanograms for each in days if each is not None) == whole


def test_that_packers_are_told_only_if_the_farm_wants_it(sample_setup: Setup) -> None:
    fills = [fill("25.10 lb", by="ben"), fill("25.20 lb", by=None), fill("25.30 lb", by="ana")]
    packs = priced(sample_setup)
    sums = giveaway_sums(fills, packs, MONDAY, by_packer=True)
    assert [(who, str(each.over)) for who, each in sums.by_packer] == [
        ("ana", "0.30 lb"), ("ben", "0.10 lb"), (None, "0.20 lb")
    ]  # fmt: skip
    assert giveaway_sums(fills, packs, MONDAY, by_packer=False).by_packer == ()


@given(st.dates(date(1990, 1, 1), date(2090, 1, 1)))
def test_that_a_week_is_the_calendars(day: date) -> None:
    # source: ISO 8601 weeks as the standard library computes them
    monday, sunday = week_of(day)
    year, week, _ = day.isocalendar()
    assert monday.isocalendar() == (year, week, 1)
    assert sunday.isocalendar() == (year, week, 7)


def test_that_fives_never_cross_a_day_or_a_bench(sample_setup: Setup) -> None:
    pack = sample_setup.packs[0]
    four = [fill("25.00 lb")] * 4
    assert charted_fills([*four, fill("26.00 lb", day=1)], pack) is None
    assert charted_fills([*four, fill("26.00 lb", bench="B2")], pack) is None
    charted = charted_fills([*four, fill("26.00 lb")], pack)
    assert charted is not None
    (spread,) = charted.charts.range.points
    assert spread.value == Unit.LB.nanograms


def test_that_only_the_last_fives_are_charted_if_wanted(sample_setup: Setup) -> None:
    boxes = [fill(f"25.{day}0 lb", day=day) for day in range(6) for _ in range(10)]
    charted = charted_fills(boxes, sample_setup.packs[0], most=3)
    assert charted is not None
    means = [round(point.value / Unit.LB.nanograms, 2) for point in charted.charts.mean.points]
    assert means == [0.4, 0.5, 0.5]
    assert charted.days == tuple(MONDAY + timedelta(days=day) for day in (4, 5, 5))


def test_that_a_fill_is_measured_against_the_target_of_its_own_day(sample_setup: Setup) -> None:
    boxes = [fill("25.10 lb", day=0)] * 5 + [fill("25.30 lb", day=1)] * 5
    targets = {MONDAY + timedelta(days=1): parse_mass("25.20 lb")}
    charted = charted_fills(boxes, sample_setup.packs[0], targets=targets)
    assert charted is not None
    tenth = float(parse_mass("0.10 lb").nanograms)
    assert [point.value for point in charted.charts.mean.points] == [tenth, tenth]


def cull_day(day: int, **counts: int) -> CullDay:
    usual = {"culled": 3, "uncounted_entries": 0, "boxes": 10, "fruit": 180, "uncounted_boxes": 0}
    return CullDay(day=MONDAY + timedelta(days=day), **{**usual, **counts})


def test_that_a_share_is_charted_only_of_days_that_were_counted_wholly() -> None:
    days = [cull_day(0), cull_day(1, uncounted_boxes=1), cull_day(2, uncounted_entries=1)]
    shown = culled_share([*days, cull_day(3, culled=20)])
    assert shown is not None
    assert (shown.days, shown.left_out) == ((MONDAY, MONDAY + timedelta(days=3)), 2)
    assert [point.value for point in shown.chart.points] == [3 / 183, 20 / 200]
    assert shown.chart.center == pytest.approx(23 / 383)


def test_that_culls_a_box_need_counts_of_culls_but_not_of_boxes() -> None:
    days = [cull_day(0, uncounted_boxes=10, fruit=0), cull_day(1, uncounted_entries=1)]
    shown = culled_a_box([*days, cull_day(2, boxes=0)])
    assert shown is not None
    assert ([point.value for point in shown.chart.points], shown.left_out) == ([0.3], 2)
    assert culled_share(days) is None
    assert culled_a_box(days[1:]) is None
