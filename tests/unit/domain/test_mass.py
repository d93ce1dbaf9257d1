import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedstation.domain.mass import Mass, Unit, add_up, parse_mass

MASSES = st.builds(
    Mass, st.integers(-(10**7), 10**7), st.integers(0, 4), st.sampled_from(list(Unit))
)


@pytest.mark.parametrize(
    "text",
    ["25.42 lb", "11.340 kg", "406.2 oz", "25 lb 6.2 oz", "11340 g", "-1.64 lb", "-2 lb 3.5 oz"],
)
def test_that_the_fixed_text_form_is_read_and_written_alike(text: str) -> None:
    assert str(parse_mass(text)) == text


@given(MASSES)
def test_that_any_mass_survives_its_text(mass: Mass) -> None:
    assert parse_mass(str(mass)).same_as(mass)


def test_that_sixteen_ounces_are_carried_into_the_pound() -> None:
    assert str(parse_mass("24 lb 16.0 oz")) == "25 lb 0.0 oz"


def test_that_decimal_pounds_are_not_pounds_and_ounces() -> None:
    assert not parse_mass("24.8 lb").same_as(parse_mass("24 lb 8.0 oz"))
    assert parse_mass("24.5 lb").same_as(parse_mass("24 lb 8.0 oz"))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "25",
        "25.42",
        "25.42lb",
        "25,42 lb",
        "25.42 LB",
        " 25 lb",
        "25 lb 17 oz",
        "1e3 g",
        "25 st",
    ],
)
def test_that_what_is_no_mass_is_refused_with_what_was_expected(text: str) -> None:
    with pytest.raises(ValueError, match=r"expected a number and a unit"):
        parse_mass(text)


@given(MASSES, st.integers(-(10**6), 10**6))
def test_that_gross_minus_tare_plus_tare_is_gross(mass: Mass, count: int) -> None:
    tare = Mass(count, mass.decimals, mass.unit)
    assert (mass - tare) + tare == mass


def test_that_units_are_never_mixed_by_accident() -> None:
    with pytest.raises(ValueError, match="one unit"):
        parse_mass("1 lb") + parse_mass("1 kg")


@given(MASSES, MASSES)
def test_that_order_agrees_with_exact_nanograms(one: Mass, other: Mass) -> None:
    assert (one < other) == (one.nanograms < other.nanograms)
    assert (one >= other) == (one.nanograms >= other.nanograms)


@given(MASSES, st.sampled_from(list(Unit)), st.integers(0, 3))
def test_that_conversion_cuts_and_never_rounds_up(mass: Mass, unit: Unit, decimals: int) -> None:
    assert abs(mass.in_unit(unit, decimals)) <= abs(mass)


def test_that_nothing_adds_up_to_nothing() -> None:
    assert add_up([]) is None


def test_that_other_units_are_added_exactly_and_cut_once() -> None:
    masses = [parse_mass("1.00 lb"), parse_mass("400 g"), parse_mass("0.5 kg")]
    # 1 lb + 900 g at 1 lb = 453.59237 g: 2.98416 lb.
    assert add_up(masses) == parse_mass("2.98 lb")


@given(st.lists(st.integers(0, 9999), min_size=1))
def test_that_masses_of_one_unit_add_up_digit_for_digit(counts: list[int]) -> None:
    assert add_up(Mass(count, 2, Unit.LB) for count in counts) == Mass(sum(counts), 2, Unit.LB)


def test_that_digits_are_never_dropped_silently() -> None:
    with pytest.raises(ValueError, match="no digit to be lost"):
        parse_mass("25.42 lb").with_decimals(1)
