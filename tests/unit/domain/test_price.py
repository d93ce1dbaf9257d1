"""Prices, money, temperatures and shares, exactly."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedstation.domain.air import celsius, share
from shedstation.domain.mass import Unit, parse_mass
from shedstation.domain.price import Price, parse_price, rounded


@given(
    count=st.integers(1, 10**9 - 1),
    decimals=st.integers(0, 6),
    unit=st.sampled_from([Unit.LB, Unit.OZ, Unit.KG, Unit.G]),
)
def test_that_a_price_reads_back_as_it_was_written(count: int, decimals: int, unit: Unit) -> None:
    price = Price(count, decimals, "USD", unit)
    assert parse_price(str(price)) == price


@pytest.mark.parametrize(
    "text",
    ["", "1.20", "1.20 USD", "USD/lb", "1.20 usd/lb", "1,20 USD/lb", "-1 USD/lb", "1.20 USD/st",
     "0 USD/lb", "0.00 USD/lb", " 1.20 USD/lb", "1.20 USD/lb\n", "1.1234567 USD/lb", "1 USDX/lb"],
)  # fmt: skip
def test_that_what_is_no_price_says_what_was_found_and_expected(text: str) -> None:
    with pytest.raises(ValueError, match=r"expected an amount above zero") as raised:
        parse_price(text)
    assert repr(text) in str(raised.value)


def test_that_a_mass_of_another_unit_is_priced_exactly() -> None:
    # source: 1 lb = 0.45359237 kg exactly (NIST Handbook 44, Appendix C)
    price = parse_price("2.00 USD/kg")
    assert price.worth(parse_mass("100 lb")) == Fraction(4535_9237, 10**6) * 2
    assert parse_price("0.10 USD/oz").worth(parse_mass("1 lb 4.0 oz")) == 2


@pytest.mark.parametrize(
    ("amount", "currency", "said"),
    [
        (Fraction(5, 1000), "USD", "0.01 USD"),
        (Fraction(4999, 10**6), "USD", "0.00 USD"),
        (Fraction(125, 1000), "USD", "0.13 USD"),  # half-even would give 0.12
        (Fraction(-125, 1000), "USD", "-0.13 USD"),
        (Fraction(8, 1), "EUR", "8.00 EUR"),
        (Fraction(3, 2), "JPY", "2 JPY"),  # source: ISO 4217 minor units, from memory
        (Fraction(12345, 10**4), "KWD", "1.235 KWD"),
    ],
)
def test_that_money_is_rounded_half_up(amount: Fraction, currency: str, said: str) -> None:
    assert str(rounded(amount, currency)) == said


@given(st.fractions(-1000, 1000))
def test_that_rounded_money_is_within_half_a_part(amount: Fraction) -> None:
    money = rounded(amount, "USD")
    assert abs(Fraction(money.count, 100) - amount) <= Fraction(1, 200)


def test_that_temperatures_are_turned_exactly() -> None:
    # source: fixed points of the scales: 32 F = 0 C, 212 F = 100 C; they meet at -40
    assert [celsius(each) for each in ("32 F", "212 F", "-40 F", "15.6 C")] == [
        0, 100, -40, Fraction(156, 10)
    ]  # fmt: skip
    with pytest.raises(ValueError, match=r"'60'.*expected a number and F or C"):
        celsius("60")


def test_that_shares_are_exact_and_no_more_than_all() -> None:
    assert (share("2.5 %"), share("100 %"), share("0 %")) == (Fraction(1, 40), 1, 0)
    for text in ("100.1 %", "85", "-1 %", "85%"):
        with pytest.raises(ValueError, match="expected a number up to 100"):
            share(text)
