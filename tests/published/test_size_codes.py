"""Size codes of mangoes by weight.

Sources: Codex STAN 184 sections 3 and 4.2, UNECE FFV-45 section III, the AGMARK mango schedule (all from
memory, see `basis` and `confidence` in the vector file); forty single Alphonso fruit of an open
phenotyping dataset (read).
"""

from collections import Counter
from fractions import Fraction
from statistics import fmean, stdev

import pytest
from vector_files import rows

from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.size_codes import (
    SIZE_CODES,
    SizeStandard,
    package_size,
    size_code,
)

CODES = rows("mango_size_codes")
CODEX = SizeStandard.CODEX
PUBLISHED_AS = {
    "CODEX-184": SizeStandard.CODEX,
    "UNECE-FFV-45": SizeStandard.UNECE,
    "AGMARK": SizeStandard.AGMARK,
}


def fruit(*weights: int) -> list[Mass]:
    return [Mass(weight, 0, Unit.G) for weight in weights]


def name(weight: Mass, standard: SizeStandard = CODEX) -> str | None:
    found = size_code(weight, standard)
    return None if found is None else found.code


@pytest.mark.parametrize("row", CODES, ids=lambda row: f"{row['standard']}_{row['size_code']}")
def test_that_codes_hold_at_both_ends_as_published(row: dict[str, str]) -> None:
    standard = PUBLISHED_AS[row["standard"]]
    assert name(parse_mass(f"{row['min_g']} g"), standard) == row["size_code"]
    assert name(parse_mass(f"{row['max_g'] or 5000} g"), standard) == row["size_code"]
    (code,) = [each for each in SIZE_CODES[standard] if each.code == row["size_code"]]
    wanted = row["max_diff_in_package_g"]
    assert code.difference == (Fraction(wanted) if wanted else None)
    if row["tolerated_min_g"]:
        assert code.outer == (Fraction(row["tolerated_min_g"]), Fraction(row["tolerated_max_g"]))


def test_that_what_is_beyond_all_codes_has_none() -> None:
    assert name(parse_mass("199 g")) is None
    assert name(parse_mass("801 g")) is None
    assert name(parse_mass("0.44 lb")) is None  # 199.6 g
    assert name(parse_mass("0.4410 lb")) == "A"  # 200.03 g


def test_that_a_fruit_beyond_the_last_gram_of_a_code_is_of_the_next() -> None:
    assert name(parse_mass("350.0 g")) == "A"
    assert name(parse_mass("350.1 g")) == "B"


def test_that_the_difference_in_a_package_is_judged_at_its_limit() -> None:
    # source: Codex STAN 184 section 3: A 75 g, B 100 g
    for heaviest, keeps in ((275, True), (276, False)):
        judged = package_size(fruit(200, 240, heaviest), CODEX)
        assert judged is not None
        assert (judged.code.code, judged.others) == ("A", 0)
        assert judged.keeps_difference == keeps


@pytest.mark.parametrize(
    ("row"), [row for row in CODES if row["tolerated_max_diff_g"]], ids=lambda row: row["size_code"]
)
def test_that_a_tenth_may_be_of_another_size_within_outer_limits(row: dict[str, str]) -> None:
    # source: Codex STAN 184 section 4.2: outer limits, and 112.5, 150 and 187.5 g within the package
    middle, lightest = int(row["min_g"]) + 20, int(row["tolerated_min_g"])
    one_of_ten = package_size(fruit(*[middle] * 9, lightest), CODEX)
    assert one_of_ten is not None
    assert (one_of_ten.others, one_of_ten.others_allowed, one_of_ten.keeps_size) == (1, 1, True)
    widest = Fraction(row["tolerated_max_diff_g"])
    assert one_of_ten.keeps_difference == (middle - lightest <= widest)
    beyond = package_size(fruit(*[middle] * 9, lightest - 1), CODEX)
    assert beyond is not None
    assert not beyond.keeps_size
    one_of_nine = package_size(fruit(*[middle] * 8, lightest), CODEX)
    assert one_of_nine is not None
    assert not one_of_nine.keeps_size


def test_that_forty_alphonso_fruit_get_their_codes() -> None:
    weights = [int(row["weight_g"]) for row in rows("mango_alphonso_weights")]
    # source: the dataset's own weights: forty fruit, mean 268 g, standard deviation 33.5 g
    assert len(weights) == 40
    assert fmean(weights) == pytest.approx(268, abs=0.5)
    assert stdev(weights) == pytest.approx(33.5, abs=0.1)
    found = Counter(name(each) for each in fruit(*weights))
    assert found["A"] == sum(200 <= each <= 350 for each in weights)
    assert found["B"] == sum(351 <= each <= 550 for each in weights)
    assert sum(found.values()) == 40


def test_that_a_package_without_codes_is_not_judged() -> None:
    assert package_size(fruit(100, 120), CODEX) is None
    assert package_size([], CODEX) is None
