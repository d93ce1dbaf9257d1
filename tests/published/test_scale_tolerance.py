"""Class III tolerances, divisions and least loads, as published.

Sources: NIST Handbook 44 section 2.20 Tables 3, 6 and 8 and T.N.3.2; OIML R 76-1:2006 Tables 3 and
6; Canadian SI/98-81 where the same number is law and was read there. Each vector file says in its
first line where it is from, and in the column `basis` whether a row was read, remembered or computed.
"""

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from vector_files import rows

from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.reading import Reading, State
from shedstation.domain.scale_check import Outcome, ScaleCheck
from shedstation.domain.scale_tolerance import (
    LEAST_LOAD_DIVISIONS,
    Stage,
    Standard,
    class_iii_divisions,
    divisions_of,
    judged_division,
    least_load,
    tolerance,
    zero_tolerance,
)
from shedstation.domain.steadiness import SteadinessJudge
from shedstation.domain.zero_watch import ZeroTrouble, ZeroWatch

D = parse_mass("0.01 lb")


def in_divisions(mass: Mass, division: Mass = D) -> Fraction:
    return mass.nanograms / division.nanograms


def allowed(divisions: int, standard: Standard, stage: Stage) -> Fraction:
    return in_divisions(tolerance(D * divisions, D, standard, stage))


TABLES = [
    (Standard.US, Stage.IN_SERVICE, "hb44_class_iii_tolerance", "maintenance_tol_d"),
    (Standard.US, Stage.NEW, "hb44_class_iii_tolerance", "acceptance_tol_d"),
    (Standard.OIML, Stage.IN_SERVICE, "r76_mpe", "mpe_in_service_e"),
    (Standard.OIML, Stage.NEW, "r76_mpe", "mpe_initial_e"),
]


@pytest.mark.parametrize(("standard", "stage", "name", "column"), TABLES)
def test_that_tolerances_are_the_published_ones_at_both_ends_of_every_row(
    standard: Standard, stage: Stage, name: str, column: str
) -> None:
    # source: NIST Handbook 44 section 2.20 Table 6 and T.N.3.2; OIML R 76-1:2006 Table 6
    published = rows(name)
    assert {row["class"] for row in published} == {"III"}
    low, high = ("load_div_low_excl", "load_div_high_incl") if "hb44" in name else (
        "load_e_low_excl", "load_e_high_incl"
    )  # fmt: skip
    for row in published:
        for divisions in (int(row[low]) + 1, int(row[high])):
            assert allowed(divisions, standard, stage) == Fraction(row[column]), divisions


VECTORS = rows("scale_tolerance_vectors")
VECTOR_COLUMNS = [
    ("hb44_maintenance", Standard.US, Stage.IN_SERVICE),
    ("hb44_acceptance", Standard.US, Stage.NEW),
    ("r76_initial", Standard.OIML, Stage.NEW),
    ("r76_in_service", Standard.OIML, Stage.IN_SERVICE),
]


@pytest.mark.parametrize("row", VECTORS, ids=lambda row: f"{row['e']} {row['unit']} {row['load']}")
@pytest.mark.parametrize(("column", "standard", "stage"), VECTOR_COLUMNS)
def test_that_a_load_on_a_real_scale_has_the_computed_tolerance(
    row: dict[str, str], column: str, standard: Standard, stage: Stage
) -> None:
    # source: computed from the two published tables, class III, e = d
    load, division = (parse_mass(f"{row[name]} {row['unit']}") for name in ("load", "e"))
    found = tolerance(load, division, standard, stage)
    assert Decimal(found.number()) == Decimal(row[column])
    assert found.unit.value == row["unit"]
    assert in_divisions(load, division) == int(row["load_in_e"])


@pytest.mark.parametrize("row", VECTORS, ids=lambda row: f"{row['e']} {row['unit']} {row['load']}")
def test_that_a_scale_has_the_computed_number_of_divisions(row: dict[str, str]) -> None:
    capacity, division = (parse_mass(f"{row[name]} {row['unit']}") for name in ("capacity", "e"))
    assert divisions_of(capacity, division) == int(row["n_max"])
    assert judged_division(division, capacity) == division


@pytest.mark.parametrize(
    ("divisions", "us", "oiml"),
    [(0, 1, 1), (500, 1, 1), (501, 2, 2), (2000, 2, 2), (2001, 3, 3), (4000, 3, 3), (4001, 5, 3)],
)
def test_that_a_load_exactly_on_a_rows_end_belongs_to_that_row(
    divisions: int, us: int, oiml: int
) -> None:
    # source: NIST Handbook 44 section 2.20 Table 6; OIML R 76-1:2006 Table 6: the ends are included
    assert allowed(divisions, Standard.US, Stage.IN_SERVICE) == us
    assert allowed(divisions, Standard.OIML, Stage.IN_SERVICE) == oiml


def test_that_a_load_between_two_divisions_is_counted_exactly() -> None:
    # source: the same tables; 500 divisions and the smallest part of one more is over 500
    just_over = parse_mass("5.000001 lb")
    assert str(tolerance(just_over, D, Standard.US)) == "0.02 lb"
    # 5 lb are 2.26796185 kg: 453.6 divisions of 5 g, 1133.98 of 2 g
    assert str(tolerance(parse_mass("5 lb"), parse_mass("0.005 kg"), Standard.US)) == "0.005 kg"
    assert str(tolerance(parse_mass("5 lb"), parse_mass("0.002 kg"), Standard.US)) == "0.004 kg"


@given(st.integers(0, 10_000), st.sampled_from(list(Standard)))
def test_that_a_new_scale_may_be_off_by_half_as_much(divisions: int, standard: Standard) -> None:
    # source: NIST Handbook 44 T.N.3.2; OIML R 76-1:2006 3.5.2
    new, used = (allowed(divisions, standard, stage) for stage in (Stage.NEW, Stage.IN_SERVICE))
    assert new * 2 == used


def test_that_the_usual_carton_scale_may_be_off_by_three_hundredths_of_a_pound() -> None:
    # source: computed from HB 44 Table 6: 25 lb on 60 lb x 0.01 lb is 2500 divisions
    assert str(tolerance(parse_mass("25 lb"), D, Standard.US)) == "0.03 lb"
    assert str(tolerance(parse_mass("25 lb"), D, Standard.US, Stage.NEW)) == "0.015 lb"


# ---- which scales can be of class III

CLASS_ROWS = rows("hb44_accuracy_classes")
SMALLEST = {"SI": "0.1 g", "lb": "0.0002 lb", "oz": "0.005 oz"}


@pytest.mark.parametrize("row", CLASS_ROWS, ids=lambda row: f"{row['e_min']} {row['units']}")
def test_that_divisions_and_their_number_are_those_of_class_iii(row: dict[str, str]) -> None:
    # source: NIST Handbook 44 section 2.20 Table 3
    limits = (int(row["n_min"]), int(row["n_max"]))
    assert class_iii_divisions(parse_mass(row["e_min"])) == limits
    assert class_iii_divisions(parse_mass(row["e_min"]) * 10) is not None
    if row["e_max"]:
        assert class_iii_divisions(parse_mass(row["e_max"])) == limits


@pytest.mark.parametrize("units", SMALLEST)
def test_that_a_finer_division_is_of_no_class_iii_scale(units: str) -> None:
    # source: NIST Handbook 44 section 2.20 Table 3, first row of each unit
    smallest = min(parse_mass(r["e_min"]) for r in CLASS_ROWS if r["units"] == units)
    assert str(smallest) == SMALLEST[units]
    finer = Mass(smallest.count, smallest.decimals + 1, smallest.unit) * 5
    assert class_iii_divisions(finer) is None


def test_that_kilograms_and_pounds_and_ounces_have_the_rows_of_grams_and_ounces() -> None:
    # source: the same table; its units are SI, pounds and ounces
    assert class_iii_divisions(parse_mass("0.005 kg")) == (500, 10_000)
    assert class_iii_divisions(parse_mass("0.002 kg")) == (100, 10_000)
    assert class_iii_divisions(parse_mass("0 lb 0.1 oz")) == (100, 10_000)


@pytest.mark.parametrize(
    "row", rows("scale_minimum_load"), ids=lambda r: r["standard"] + r["bounds"]
)
def test_that_the_least_load_is_twenty_divisions(row: dict[str, str]) -> None:
    # source: R 76 Table 3 and HB 44 Table 8, from memory; SI/98-81 section 62, read, agrees to 5 g
    is_coarse_canadian = row["standard"] == "CA" and row["bounds"] in ("both excluded", "from")
    if not is_coarse_canadian:
        assert int(row["minimum_net_load_e"]) == LEAST_LOAD_DIVISIONS
    assert str(least_load(parse_mass("0.005 kg"))) == "0.100 kg"


# ---- what else of the published parameters the station goes by


def checked(*shown: str) -> ScaleCheck:
    """Take the first points of a check with a 10 lb weight on 60 lb x 0.01 lb."""
    check = ScaleCheck(
        standard=Standard.US,
        stage=Stage.IN_SERVICE,
        division=D,
        judged_division=D,
        capacity=parse_mass("60 lb"),
        weights=(parse_mass("10 lb"),),
    )
    for text in shown:
        check = check.taken(parse_mass(f"{text} lb"))
    return check


def steady(swing: int) -> bool:
    """Tell whether a second of readings that swing by so many divisions ends steady."""
    judge = SteadinessJudge(D)
    readings = [Reading(n / 10, D * (1000 + n % 2 * swing), State.UNKNOWN) for n in range(11)]
    return [judge.judge(each).state for each in readings][-1] is State.STEADY


def zero_told(divisions: int) -> bool:
    watch = ZeroWatch(D)
    watch.hear(0.0, D * divisions)
    return watch.trouble is not None


def falls(divisions: int, seconds: int) -> ZeroTrouble | None:
    """Name what is seen when six divisions left on the pan fall by some in so many seconds."""
    watch = ZeroWatch(D)
    for at_s, shown in ((0.0, 0), (1.0, 6), (1.0 + seconds, 6 - divisions)):
        watch.hear(at_s, D * shown)
    return watch.trouble


UP, CORNERS = ("0.00", "10.00", "0.00"), ("10.00", "10.02", "10.00", "10.00", "10.00", "0.00")
REPEATS = ("10.01", "0.00", "10.01", "0.00")

GONE_BY: dict[tuple[str, str], Callable[[], bool]] = {
    ("CA", "stable for zero, tare, print, store"): lambda: steady(1) and not steady(2),
    ("HB44", "stable for zero, tare, print"): lambda: steady(1) and not steady(2),
    ("R76", "stable for print or store"): lambda: steady(1) and not steady(2),
    ("HB44", "centre-of-zero"): lambda: not zero_told(0) and not zero_told(1) and zero_told(2),
    ("R76", "zero tracking"): lambda: falls(2, 4) is ZeroTrouble.DRYING is not falls(2, 3),
    ("HB44", "zero tracking: largest load re-zeroed at once"): lambda: not zero_told(1),
    ("CA", "scale interval"): lambda: str(judged_division(D, parse_mass("300 lb"))) == "0.05 lb",
    ("CA", "e and d"): lambda: checked().judged_division == checked().division,
    ("CA", "repeatability"): lambda: (
        checked(*UP, *CORNERS, *REPEATS, "9.99").outcome is Outcome.UNFINISHED
        and checked(*UP, *CORNERS, *REPEATS, "9.98").spreads[-1].passed is False
    ),
    ("CA", "eccentric load"): lambda: (
        checked(*UP, *CORNERS).spreads[0].passed
        and not checked(*UP, "9.99", "10.02").spreads[0].passed
    ),
    ("CA", "return to zero after 30 min load"): lambda: (
        in_divisions(zero_tolerance(D)) == Fraction("0.5")
        and checked("0.00", "10.00", "0.01").outcome is Outcome.FAILED
    ),
    ("R76", "minimum capacity class III"): lambda: least_load(D) == D * 20,
    ("HB44", "recommended minimum load class III"): lambda: least_load(D) == D * 20,
}


@pytest.mark.parametrize("row", rows("scale_parameters"), ids=lambda r: r["standard"] + r["clause"])
def test_that_the_station_goes_by_a_published_parameter(row: dict[str, str]) -> None:
    # source: the row's own standard and clause; its column `basis` says whether it was read there
    assert GONE_BY[row["standard"], row["parameter"]]()


def test_that_a_display_finer_than_class_iii_is_judged_by_a_coarser_division() -> None:
    # no published source: rule of this program; the limit of 10 000 is HB 44 Table 3
    judged = judged_division(parse_mass("1 g"), parse_mass("30000 g"))
    assert str(judged) == "5 g"
    assert str(judged_division(parse_mass("0.002 kg"), parse_mass("40 kg"))) == "0.005 kg"
    assert str(judged_division(parse_mass("0.005 kg"), parse_mass("60 kg"))) == "0.010 kg"


@given(st.sampled_from([1, 2, 5]), st.integers(0, 4), st.integers(1, 10**7))
def test_that_the_judging_division_gives_at_most_ten_thousand(
    lead: int, decimals: int, capacity: int
) -> None:
    division = Mass(lead, decimals, Unit.KG)
    whole = Mass(capacity, decimals, Unit.KG)
    judged = judged_division(division, whole)
    assert divisions_of(whole, judged) <= 10_000
    assert str(judged.count).rstrip("0") in ("1", "2", "5")
