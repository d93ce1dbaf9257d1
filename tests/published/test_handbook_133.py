"""Lots judged by NIST Handbook 133, Category A.

Source: NIST Handbook 133 (2020), sections 2.2 and 2.3, Appendix A Tables 2-1 and 2-5. The tables are from
memory, with one row read and the correction factors recomputed; the worked cases are our own, computed
apart from the program. Each vector file says so in its first line and in its column `basis`.
"""

from fractions import Fraction
from itertools import pairwise

import pytest
from vector_files import rows

from shedstation.domain.handbook_133 import (
    Finding,
    judge_lot,
    maximum_allowable_variation,
    sampling_plan,
)
from shedstation.domain.mass import Mass, Unit, parse_mass

LABEL = parse_mass("25.00 lb")
PLANS = [row for row in rows("hb133_table_2_1") if row["category"] == "A"]
MAVS = rows("hb133_mav_weight")
CASES = rows("hb133_worked_examples")


def pounds(text: str) -> Mass:
    return Mass(round(Fraction(text) * 10000), 4, Unit.LB)


@pytest.mark.parametrize("row", PLANS, ids=lambda row: f"lot_of_{row['lot_min']}")
def test_that_plans_are_those_of_table_2_1_at_both_ends(row: dict[str, str]) -> None:
    for lot in {int(row["lot_min"]), int(row["lot_max"] or 100_000)}:
        plan = sampling_plan(lot)
        assert plan.sample == int(row["sample_n"])
        assert plan.allowed_over_mav == int(row["packages_allowed_over_mav"])
        if row["scf_handbook"]:
            assert plan.factor == Fraction(row["scf_handbook"])
            # source: Student's t(0.975; n-1)/sqrt(n), computed; the handbook prints three digits
            assert float(plan.factor) == pytest.approx(float(row["scf_t975"]), abs=0.001)
        else:
            assert plan.factor is None


@pytest.mark.parametrize("row", MAVS[1:-1], ids=lambda row: f"to_{row['label_lb_high_incl']}_lb")
def test_that_variations_are_those_of_table_2_5_up_to_each_limit(row: dict[str, str]) -> None:
    assert maximum_allowable_variation(pounds(row["label_lb_high_incl"])) == Fraction(row["mav_lb"])
    grams = parse_mass(f"{row['label_g_high_incl']} g")
    assert maximum_allowable_variation(grams) == Fraction(row["mav_g"])


def test_that_a_label_just_above_a_limit_is_in_the_next_row() -> None:
    for row, following in pairwise(MAVS[1:-1]):
        above = pounds(row["label_lb_high_incl"]) + parse_mass("0.0001 lb")
        assert maximum_allowable_variation(above) == Fraction(following["mav_lb"])


def test_that_the_ends_of_the_table_are_shares_of_the_label() -> None:
    # source: Table 2-5, first and last row: 10 % below 0.08 lb, 2 % above 54.70 lb (memory, high)
    assert maximum_allowable_variation(parse_mass("0.0799 lb")) == Fraction("0.00799")
    assert maximum_allowable_variation(parse_mass("0.0800 lb")) == Fraction("0.008")
    assert maximum_allowable_variation(parse_mass("54.70 lb")) == Fraction("0.5")
    assert maximum_allowable_variation(parse_mass("54.71 lb")) == Fraction("1.0942")


def test_that_the_row_the_handbook_prints_in_its_text_is_right() -> None:
    # source: NIST Handbook 133 (2020) section 2.2, read: 113 g (0.25 lb) has 7.2 g (0.016 lb)
    assert maximum_allowable_variation(parse_mass("0.25 lb")) == Fraction("0.016")
    assert maximum_allowable_variation(parse_mass("113 g")) == Fraction("7.2")
    assert maximum_allowable_variation(parse_mass("0.113 kg")) == Fraction("0.0072")
    assert maximum_allowable_variation(parse_mass("4.0 oz")) == Fraction("0.256")


@pytest.mark.parametrize("row", CASES, ids=lambda row: row["case"])
def test_that_worked_cases_come_out_with_every_figure(row: dict[str, str]) -> None:
    nets = [LABEL + pounds(error) for error in row["errors_lb"].split()]
    judged = judge_lot(LABEL, nets, int(row["lot_size"]))
    assert len(judged.errors) == int(row["n"])
    assert float(judged.average) == pytest.approx(float(row["average_error"]), abs=1e-6)
    assert judged.spread == pytest.approx(float(row["s"]), abs=1e-6)
    assert judged.error_limit == pytest.approx(float(row["sample_error_limit"]), abs=1.1e-6)
    assert judged.mav == Fraction(row["mav_lb"])
    assert judged.over_mav == int(row["count_over_mav"])
    assert judged.individual.value == row["individual_result"]
    assert judged.by_average.value == row["average_result"]
    assert judged.lot.value == row["lot_result"]


def test_that_an_average_exactly_at_the_limit_is_not_beyond_it() -> None:
    # Two packages of three 0.025 lb off the average give a limit of exactly 2.484 x 0.025 = 0.0621 lb.
    spread = (-pounds("0.025"), pounds("0"), pounds("0.025"))
    at_limit, beyond = (
        judge_lot(LABEL, [LABEL - pounds(short) + each for each in spread], 3)
        for short in ("0.0621", "0.0622")
    )
    assert at_limit.lot is Finding.PASS
    assert beyond.lot is Finding.FAIL


def test_that_without_spread_no_average_below_the_label_passes() -> None:
    assert judge_lot(LABEL, [LABEL] * 10, 10).lot is Finding.PASS
    judged = judge_lot(LABEL, [LABEL - parse_mass("0.01 lb")] * 10, 10)
    assert judged.error_limit == 0.0
    assert judged.lot is Finding.FAIL


@pytest.mark.parametrize(("short_by", "finding"), [("0.37", "pass"), ("0.38", "fail")])
def test_that_a_single_package_stands_by_its_own_error(short_by: str, finding: str) -> None:
    judged = judge_lot(LABEL, [LABEL - pounds(short_by)], 1)
    assert judged.spread is None
    assert judged.lot.value == finding


@pytest.mark.parametrize("row", rows("hb133_moisture_vectors"), ids=lambda row: row["case"])
def test_that_a_loss_of_moisture_makes_a_grey_area(row: dict[str, str]) -> None:
    # source: NIST Handbook 133 sections 1.2.6 and 2.3.8, from memory (medium); 3 % only shows the
    # arithmetic. No three packages have a limit of 0.06 lb; 0.025 lb off the average they have 2.484 x
    # 0.025 = 0.0621 lb, so averages beyond the vectors' limit move out by 0.0021 lb with it.
    average = Fraction(row["average_error_lb"])
    limit = Fraction(row["sel_lb"])
    if -average > limit:
        average -= Fraction("0.0621") - limit
    middle = LABEL + pounds(str(float(average)))
    nets = [middle - pounds("0.025"), middle, middle + pounds("0.025")]
    share = Fraction(row["moisture_allowance_lb"]) / Fraction(row["label_lb"])
    judged = judge_lot(LABEL, nets, 3, share)
    assert judged.error_limit == pytest.approx(0.0621)
    assert judged.by_average.value == row["result"]


def test_that_a_sample_of_the_wrong_size_is_refused() -> None:
    with pytest.raises(ValueError, match="3 packages of a lot of 200: expected 12"):
        judge_lot(LABEL, [LABEL] * 3, 200)
    with pytest.raises(ValueError, match="at least one"):
        sampling_plan(0)
