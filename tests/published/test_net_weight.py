"""Net-weight statements, letter heights, conversions, rounding and tare arithmetic, as published.

Sources: each vector file names its own in its first line. Rules: 15 USC 1453, 16 CFR 500.19(b),
500.21(b), 21 CFR 101.7(i), NIST Handbook 44 Appendix C, NIST SP 811 B.7. The decimal module of
Python's standard library stands as the independent reference for rounding.
"""

from decimal import ROUND_DOWN, ROUND_HALF_EVEN, Decimal
from fractions import Fraction

import pytest
from vector_files import rows

from shedstation.domain.farm import NetOnLabel
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.net_statement import (
    letter_height_in,
    metric_cut,
    net_statement,
    pounds_cut,
)


@pytest.mark.parametrize("row", rows("label_metric_vectors"), ids=lambda row: row["label_lb"])
def test_that_a_pound_label_reads_as_computed_from_the_exact_pound(row: dict[str, str]) -> None:
    # source: 16 CFR 500.19(b) digits and the never-overstate rule; kg = lb x 0.45359237 exactly
    mass = parse_mass(f"{row['label_lb']} lb")
    assert net_statement(mass, NetOnLabel.DECLARED) == row["example_text"]
    assert mass.nanograms / Unit.KG.nanograms == Fraction(row["kg_exact"])


@pytest.mark.parametrize("row", rows("label_metric_vectors"), ids=lambda row: row["label_lb"])
def test_that_the_metric_figure_never_overstates(row: dict[str, str]) -> None:
    mass = parse_mass(f"{row['label_lb']} lb")
    printed = Decimal(metric_cut(mass).removesuffix(" kg"))
    exact = Decimal(row["kg_exact"])
    assert printed <= exact
    assert printed == exact.quantize(printed, ROUND_DOWN)


@pytest.mark.parametrize("row", rows("label_pound_vectors"), ids=lambda row: row["label_kg"])
def test_that_a_kilogram_label_gives_pounds_cut(row: dict[str, str]) -> None:
    # source: lb = kg / 0.45359237, cut to two decimals (computed)
    mass = parse_mass(f"{row['label_kg']} kg")
    assert Decimal(pounds_cut(mass).removesuffix(" LB")) == Decimal(row["lb_declared_cut"])


def test_that_the_usual_carton_declares_25_lb() -> None:
    # source: NIST labelling sheet rule, never overstate: 11.33980925 kg prints as 11.3 kg
    assert net_statement(parse_mass("25.00 lb"), NetOnLabel.DECLARED) == "NET WT 25 LB (11.3 kg)"
    assert net_statement(parse_mass("25.42 lb"), NetOnLabel.ACTUAL) == "NET WT 25.42 LB (11.5 kg)"
    assert (
        net_statement(parse_mass("25 lb 6.2 oz"), NetOnLabel.ACTUAL)
        == "NET WT 25 LB 6.2 OZ (11.5 kg)"
    )


def test_that_a_box_keeps_the_decimals_of_its_scale() -> None:
    # source: 15 USC 1453(a)(3)(A)(ii), random packages: decimal pounds, at most three places
    assert net_statement(parse_mass("10.20 lb"), NetOnLabel.ACTUAL) == "NET WT 10.20 LB (4.62 kg)"


@pytest.mark.parametrize("row", rows("label_type_height"), ids=lambda row: row["area_in2_low_excl"])
def test_that_letters_are_as_high_as_the_panel_asks(row: dict[str, str]) -> None:
    # source: 21 CFR 101.7(i), 16 CFR 500.21(b)
    needed = Fraction(row["min_height_in"])
    low, high = row["area_in2_low_excl"], row["area_in2_high_incl"]
    assert letter_height_in((f"{low}.01", "1")) == needed
    if high:
        assert letter_height_in((high, "1")) == needed


def test_that_a_panel_is_the_whole_side_of_the_box() -> None:
    # source: 16 CFR 500.21(a)(1): 16 x 7 in = 112 in2, so 1/4 in
    assert letter_height_in(("16", "7")) == Fraction(1, 4)
    assert letter_height_in(("12", "5")) == Fraction(3, 16)
    assert letter_height_in(("24", "18")) == Fraction(1, 2)


UNITS = {unit.value: unit for unit in Unit}
EXACT = [
    row
    for row in rows("unit_conversions")
    if row["exact"] == "yes" and {row["from"], row["to"]} <= set(UNITS)
]


@pytest.mark.parametrize("row", EXACT, ids=lambda row: f"{row['from']}-{row['to']}")
def test_that_exact_conversions_are_exact(row: dict[str, str]) -> None:
    # source: NIST Handbook 44 Appendix C; NIST SP 811
    ratio = Fraction(UNITS[row["from"]].nanograms, UNITS[row["to"]].nanograms)
    assert ratio == Fraction(row["factor"])


def test_that_sixteen_ounces_are_a_pound() -> None:
    # source: NIST Handbook 44 Appendix C
    assert Unit.OZ.nanograms * 16 == Unit.LB.nanograms


@pytest.mark.parametrize(
    "row", [row for row in rows("rounding_vectors") if "d" not in row["value"]],
    ids=lambda row: f"{row['value']}-{row['digits']}",
)  # fmt: skip
def test_that_published_rounding_is_not_what_a_label_may_do(row: dict[str, str]) -> None:
    # source: NIST SP 811 B.7.1, half to even: the reference rounds so; a label only ever cuts
    value, rounded = Decimal(row["value"]), Decimal(row["rounded"])
    assert value.quantize(rounded, ROUND_HALF_EVEN) == rounded
    grams = Mass(int(value.scaleb(7)), 7, Unit.KG)
    cut = grams.in_unit(Unit.KG, max(-int(rounded.as_tuple().exponent), 0))
    assert Decimal(cut.number()) == value.quantize(rounded, ROUND_DOWN) <= value


@pytest.mark.parametrize(
    "row", rows("gross_tare_net_vectors"), ids=lambda row: row["gross_internal"]
)
def test_that_net_comes_from_shown_weights(row: dict[str, str]) -> None:
    # source: Measurement Canada laboratory manual part 2 section 8 (first row); the others computed
    gross, tare = (parse_mass(f"{row[name]} kg") for name in ("gross_shown", "tare_shown"))
    assert (gross - tare).same_as(parse_mass(f"{row['net_from_shown']} kg"))
    if row["agree"] == "no":
        assert not (gross - tare).same_as(parse_mass(f"{row['net_rounded_alone']} kg"))
