"""Lots judged by OIML R 87 and by the UK and EU reference test.

Sources: OIML R 87 Tables 1 and 2; Directive 76/211/EEC Annexes I and II; UK SI 2006/659 Schedule 2.
Table 1 and the reference test were read, the plans of R 87 are from memory; the worked cases are our own,
computed apart from the program. Each vector file says so in its first line and in its column `basis`.
"""

from fractions import Fraction

import pytest
from vector_files import rows

from shedstation.domain.average_quantity import (
    Rule,
    judge_quantity,
    quantity_plan,
    tolerable_deficiency,
)
from shedstation.domain.mass import Mass, Unit, parse_mass

R87_PLANS = [row for row in rows("r87_sampling") if row["lot_min"] != "1"]
REFERENCE = rows("uk_eu_reference_test")
LABEL = parse_mass("11300.00 g")


def grams(value: str | Fraction) -> Mass:
    return Mass(round(Fraction(value) * 100), 2, Unit.G)


@pytest.mark.parametrize("row", R87_PLANS, ids=lambda row: f"lot_of_{row['lot_min']}")
def test_that_plans_of_r87_are_the_published_ones_at_both_ends(row: dict[str, str]) -> None:
    for lot in {int(row["lot_min"]), int(row["lot_max"] or 100_000)}:
        plan = quantity_plan(lot, Rule.R87)
        assert (plan.contents, plan.allowed_t1) == (int(row["sample_n"]), int(row["allowed_t1"]))
        assert plan.factor == Fraction(row["scf"])
        # source: Student's t(0.995; n-1)/sqrt(n), computed
        assert float(plan.factor) == pytest.approx(float(row["scf_t995"]), abs=0.0005)


@pytest.mark.parametrize(
    "row",
    [row for row in REFERENCE if row["check"] == "contents, single, non-destructive"],
    ids=lambda row: f"lot_of_{row['lot_min']}",
)
def test_that_contents_of_the_reference_test_are_the_published_ones(row: dict[str, str]) -> None:
    for lot in {int(row["lot_min"]), int(row["lot_max"] or 10_000)}:
        plan = quantity_plan(lot, Rule.REFERENCE)
        assert (plan.contents, plan.allowed_t1) == (int(row["sample_n"]), int(row["accept"]))


@pytest.mark.parametrize(
    "row",
    [row for row in REFERENCE if row["check"] == "mean, non-destructive"],
    ids=lambda row: f"lot_of_{row['lot_min']}",
)
def test_that_means_of_the_reference_test_are_the_published_ones(row: dict[str, str]) -> None:
    for lot in {int(row["lot_min"]), int(row["lot_max"] or 10_000)}:
        plan = quantity_plan(lot, Rule.REFERENCE)
        assert (plan.means, plan.factor) == (int(row["sample_n"]), Fraction(row["mean_factor_k"]))


@pytest.mark.parametrize("row", rows("r87_tne_vectors"), ids=lambda row: f"{row['qn_g']}_g")
def test_that_deficiencies_are_the_published_ones_rounded_up(row: dict[str, str]) -> None:
    label = parse_mass(f"{row['qn_g']} g")
    eu = tolerable_deficiency(label, Rule.REFERENCE)
    assert eu == Fraction(row["t_eu_g"])
    assert tolerable_deficiency(label, Rule.R87) == Fraction(row["t_r87_g"])
    stated = label.nanograms / Unit.G.nanograms
    assert stated - eu == Fraction(row["t1_limit_eu_g"])
    assert stated - 2 * eu == Fraction(row["t2_limit_eu_g"])


@pytest.mark.parametrize("row", rows("r87_tne"), ids=lambda row: f"above_{row['qn_g_or_ml_low']}_g")
def test_that_the_rows_of_table_1_hold_up_to_their_limits(row: dict[str, str]) -> None:
    # source: OIML R 87 Table 1 = Directive 76/211/EEC Annex I, read; shares are rounded up to 0.1 g
    stated = Fraction(row["qn_g_or_ml_high_incl"] or "20000")
    share, fixed = row["t_percent"], row["t_g_or_ml"]
    wanted = Fraction(fixed) if fixed else stated * Fraction(share) / 100
    found = tolerable_deficiency(grams(stated), Rule.REFERENCE)
    assert wanted <= found < wanted + Fraction(1, 10)
    if fixed:
        assert found == wanted


def sample(row: dict[str, str]) -> list[Mass]:
    """Make a sample with the case's mean, about its spread, and its packages over T and twice T."""
    size, mean = int(row["n"]), Fraction(row["mean_error_g"])
    light = [Fraction(-301)] * int(row["t2_count"])
    light += [Fraction(-151)] * (int(row["t1_count"]) - int(row["t2_count"]))
    rest = size - len(light)
    level = (mean * size - sum(light, Fraction(0))) / rest
    # What is left spreads evenly about its own mean so that the whole has the case's spread.
    wanted = Fraction(row["s_g"]) ** 2 * (size - 1)
    held = sum(((each - mean) ** 2 for each in light), Fraction(0)) + rest * (level - mean) ** 2
    half = Fraction(max(float(wanted - held), 0.0) ** 0.5) / Fraction(float(rest) ** 0.5)
    pairs = [level - half, level + half] * (rest // 2) + [level] * (rest % 2)
    return [LABEL + grams(each) for each in (*light, *pairs)]


@pytest.mark.parametrize(
    "row",
    [row for row in rows("r87_worked_examples") if row["case"] != "mean at limit"],
    ids=lambda row: row["case"],
)
def test_that_worked_cases_come_out_with_every_figure(row: dict[str, str]) -> None:
    lot = {"50": 500, "80": 3200, "125": 4000}[row["n"]]
    judged = judge_quantity(LABEL, sample(row), lot, Rule.R87)
    assert (judged.t1, judged.t2) == (int(row["t1_count"]), int(row["t2_count"]))
    assert float(judged.mean_error) == pytest.approx(float(row["mean_error_g"]), abs=0.01)
    assert judged.spread == pytest.approx(float(row["s_g"]), rel=0.02)
    assert judged.plan.allowed_t1 == int(row["allowed_t1"])
    assert judged.stands_by_mean == (row["average_result"] == "pass")
    assert judged.stands_by_each == (row["individual_result"] == "pass")
    assert judged.passes == (row["lot_result"] == "pass")


def test_that_a_package_short_by_exactly_t_is_not_over_it() -> None:
    heavy = [LABEL + grams("20")] * 49
    for short, t1, t2 in (("150.00", 0, 0), ("150.01", 1, 0), ("300.00", 1, 0), ("300.01", 1, 1)):
        judged = judge_quantity(LABEL, [LABEL - grams(short), *heavy], 200, Rule.R87)
        assert (judged.t1, judged.t2) == (t1, t2)
        assert judged.stands_by_each == (t2 == 0)


def test_that_small_lots_are_tested_whole() -> None:
    # source: UK SI 2006/659 Schedule 2: all packages, at most 5 % defective, the mean not below the label
    nets = [LABEL + grams("10")] * 38 + [LABEL - grams("160")] * 2
    judged = judge_quantity(LABEL, nets, 40, Rule.REFERENCE)
    assert (judged.t1, judged.plan.allowed_t1, judged.passes) == (2, 2, True)
    flat = judge_quantity(LABEL, [LABEL] * 40, 40, Rule.REFERENCE)
    assert flat.passes
    light = judge_quantity(LABEL, [LABEL] * 39 + [LABEL - grams("0.01")], 40, Rule.REFERENCE)
    assert not light.stands_by_mean


def test_that_a_mean_stands_up_to_its_limit() -> None:
    # 25 packages 10 g above the mean and 25 as far below: 0.379 x 10 g x sqrt(50/49) = 3.8285 g.
    for mean, stands in (("-3.82", True), ("-3.83", False)):
        nets = [LABEL + grams(mean) + grams(each) for each in ("10", "-10")] * 25
        judged = judge_quantity(LABEL, nets, 200, Rule.R87)
        assert judged.error_limit == pytest.approx(3.8285, abs=0.0001)
        assert judged.stands_by_mean == stands
    at_label = judge_quantity(LABEL, [LABEL] * 50, 200, Rule.R87)
    below = judge_quantity(LABEL, [LABEL - grams("0.01")] * 50, 200, Rule.R87)
    assert at_label.stands_by_mean
    assert not below.stands_by_mean


def test_that_a_sample_of_the_wrong_size_is_refused() -> None:
    with pytest.raises(ValueError, match="12 packages of a lot of 200: expected 50"):
        judge_quantity(LABEL, [LABEL] * 12, 200, Rule.R87)
    with pytest.raises(ValueError, match="at least one"):
        quantity_plan(0, Rule.R87)
