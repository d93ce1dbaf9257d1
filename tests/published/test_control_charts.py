"""Control charts against published constants and worked examples.

Sources: factors for control charts as printed in textbook tables (read in four copies that agree);
NIST/SEMATECH e-Handbook 6.3.3.2 (wafers); Montgomery, Introduction to Statistical Quality Control
(piston rings, dyed cloth), data as carried in public test code. See the first line of each vector file.
"""

from fractions import Fraction

import pytest
from vector_files import rows

from shedstation.domain.control_charts import (
    FACTORS,
    Chart,
    fill_charts,
    rate_chart,
    share_chart,
)

EXAMPLES = rows("spc_worked_examples")


def example(chart: str, case: str = "") -> dict[str, str]:
    (found,) = [row for row in EXAMPLES if row["chart"] == chart and case in row["case"]]
    return found


def numbers(text: str) -> list[int]:
    return [int(each) for each in text.split()]


def out(chart: Chart) -> list[int]:
    return [number for number, point in enumerate(chart.points, start=1) if point.is_out]


@pytest.mark.parametrize("row", rows("spc_constants"), ids=lambda row: f"n_{row['n']}")
def test_that_factors_are_the_published_ones(row: dict[str, str]) -> None:
    factors = FACTORS[int(row["n"])]
    wanted = [Fraction(row[name]) for name in ("A2", "d2", "D3", "D4")]
    assert [factors.a2, factors.d2, factors.d3, factors.d4] == wanted


def test_that_piston_rings_come_out_as_published() -> None:
    # source: Montgomery, piston rings; published limits 74.0143 and 73.98805, range 0.04812
    subgroups = [
        [Fraction(row[f"x{number}"]) for number in range(1, 6)] for row in rows("spc_piston_rings")
    ]
    charts = fill_charts(subgroups)
    means, ranges = example("xbar"), example("R")
    point, span = charts.mean.points[0], charts.range.points[0]
    assert charts.mean.center == pytest.approx(float(means["center"]), abs=1e-6)
    assert point.upper == pytest.approx(float(means["ucl"]), abs=1e-6)
    assert point.lower == pytest.approx(float(means["lcl"]), abs=1e-6)
    assert charts.range.center == pytest.approx(float(ranges["center"]), abs=1e-6)
    assert span.upper == pytest.approx(float(ranges["ucl"]), abs=1e-6)
    assert span.lower is None
    assert charts.sigma == pytest.approx(0.009785, abs=1e-6)
    assert out(charts.mean) == out(charts.range) == []
    assert charts.mean.is_firm


def test_that_wafers_come_out_as_published() -> None:
    # source: NIST/SEMATECH e-Handbook 6.3.3.2, 30 wafers of 50 chips: 0.2313, 0.4102, 0.0524
    row = example("p")
    counts = numbers(row["data"])
    chart = share_chart(counts, [int(row["sizes"])] * len(counts))
    assert chart.center == pytest.approx(float(row["center"]), abs=1e-6)
    assert chart.points[0].upper == pytest.approx(float(row["ucl"]), abs=1e-6)
    assert chart.points[0].lower == pytest.approx(float(row["lcl"]), abs=1e-6)
    assert out(chart) == numbers(row["out_of_control_1_based"])


def test_that_dyed_cloth_comes_out_as_published() -> None:
    # source: Montgomery, dyed cloth in rolls of several sizes; published 1.40367 and, at ten, 2.52764
    row = example("u")
    chart = rate_chart(numbers(row["data"]), numbers(row["sizes"]))
    assert chart.center == pytest.approx(float(row["center"]), abs=1e-6)
    assert chart.points[0].upper == pytest.approx(float(row["ucl"]), abs=1e-6)
    assert chart.points[0].lower == pytest.approx(float(row["lcl"]), abs=1e-6)
    assert chart.points[1].upper > chart.points[0].upper
    assert out(chart) == []
    assert not chart.is_firm


@pytest.mark.parametrize("case", ["wafers", "circuit boards"])
def test_that_counts_on_single_units_come_out_as_published(case: str) -> None:
    # source: NIST/SEMATECH e-Handbook 6.3.3.1: 16, 28, 4; the wafer with 28 is on the limit and not out.
    row = example("c", case)
    counts = numbers(row["data"])
    chart = rate_chart(counts, [1] * len(counts))
    point = chart.points[0]
    assert point.lower is not None
    assert [chart.center, point.upper, point.lower] == pytest.approx(
        [float(row[name]) for name in ("center", "ucl", "lcl")], abs=1e-6
    )
    assert out(chart) == numbers(row["out_of_control_1_based"])


def test_that_a_limit_below_nothing_is_none() -> None:
    chart = share_chart([0, 1, 0], [10, 10, 10])
    assert chart.points[0].lower is None
    assert chart.points[0].upper <= 1.0


def test_that_what_cannot_be_charted_is_refused() -> None:
    one, two = [Fraction(1)], [Fraction(1), Fraction(2)]
    for subgroups in ([], [one], [two, [*two, Fraction(3)]]):
        with pytest.raises(ValueError, match="expected one size from 2 to 10"):
            fill_charts(subgroups)
    with pytest.raises(ValueError, match="3 culls of 2 fruit"):
        share_chart([3], [2])
    with pytest.raises(ValueError, match="1 defects on 0 units"):
        rate_chart([1], [0])
    with pytest.raises(ValueError, match="at least one"):
        rate_chart([], [])
