"""GS1 element strings, check digits, dates and code 128 symbols, as published.

Sources: GS1 Barcode Syntax Engine tests and Syntax Dictionary (GS1 AISBL, Apache-2.0), GS1 check digit
pages, GS1 General Specifications; each vector file says which. zxing-cpp is the independent reader.
"""

import re

import pytest
import zxingcpp
from PIL import Image
from vector_files import rows

from shedstation.domain import gs1
from shedstation.labels.barcode import QUIET_MODULES, code128_modules, gs1_modules

YEAR = 2026


@pytest.mark.parametrize("row", rows("gtin_check_vectors"), ids=lambda row: row["number"])
def test_that_check_digits_are_judged_as_published(row: dict[str, str]) -> None:
    valid = gs1.has_check_digit(row["number"])
    by_rule = not row["number"].strip(
        "0"
    )  # all zeros pass the sum and are refused by their own rule
    assert valid == (row["verdict"] == "valid" and not by_rule)
    if valid and row["kind"].startswith("GTIN"):
        assert gs1.is_gtin(row["number"])


def known(row: dict[str, str]) -> bool:
    return set(re.findall(r"\(([^)]*)\)", row["bracketed"])) <= set(gs1.IDENTIFIERS)


VALID = [
    row for row in rows("gs1_element_string_vectors") if row["verdict"] == "valid" and known(row)
]
INVALID = [row for row in rows("gs1_element_string_vectors") if row["verdict"] == "invalid"]


def test_that_most_published_strings_are_of_identifiers_a_case_may_carry() -> None:
    assert len(VALID) >= 15


@pytest.mark.parametrize("row", VALID, ids=lambda row: row["bracketed"])
def test_that_valid_element_strings_are_written_and_read_as_published(row: dict[str, str]) -> None:
    elements = gs1.parse_bracketed(row["bracketed"])
    raw = row["raw_with_caret_for_fnc1"].removeprefix("^").replace("^", gs1.FNC1)
    assert gs1.raw(elements) == raw
    assert gs1.parse_raw(f"]C1{raw}") == elements
    assert gs1.bracketed(elements) == row["bracketed"]


@pytest.mark.parametrize("row", INVALID, ids=lambda row: f"{row['level']} {row['bracketed']}")
def test_that_invalid_element_strings_are_refused(row: dict[str, str]) -> None:
    with pytest.raises(gs1.BadElements) as raised:
        elements = gs1.parse_bracketed(row["bracketed"])
        gs1.check_elements(elements, now=YEAR)
        gs1.check_symbol(elements)
    if known(row) and row["level"] in ("policy", "symbol"):
        assert raised.value.level == row["level"]


@pytest.mark.parametrize(
    "row", rows("gs1_date_vectors"), ids=lambda row: f"{row['yymmdd']} {row['origin'][:20]}"
)
def test_that_dates_are_judged_as_published(row: dict[str, str]) -> None:
    text = row["yymmdd"]
    good = len(text) == 6 and text.isascii() and text.isdigit() and gs1.is_day(text, YEAR)
    if "strict" in row["origin"] or "yymmdd" not in row["origin"] or "yymmdd0" in row["origin"]:
        assert good == (row["verdict"] == "valid")


@pytest.mark.parametrize(
    "row", rows("gs1_century_vectors"), ids=lambda row: f"{row['current_year']}-{row['yy']}"
)
def test_that_two_digit_years_fall_into_the_published_century(row: dict[str, str]) -> None:
    assert gs1.year_of(int(row["yy"]), int(row["current_year"])) == int(row["year"])


WEIGHTS = [row for row in rows("gs1_weight_vectors") if row["element_string"] != "refuse"]


@pytest.mark.parametrize("row", WEIGHTS, ids=lambda row: row["element_string"])
def test_that_net_weights_have_six_digits_and_a_known_identifier(row: dict[str, str]) -> None:
    ((ai, value),) = gs1.parse_bracketed(row["element_string"])
    assert gs1.IDENTIFIERS[ai].most == len(value) == 6
    scaled = int(value) / 10 ** int(row["decimals"])
    assert abs(scaled - float(row["net_weight"])) < 1e-9


def picture(modules: str) -> Image.Image:
    quiet = "0" * QUIET_MODULES
    row = [0 if module == "1" else 255 for module in quiet + modules + quiet]
    image = Image.new("L", (len(row), 40))
    image.putdata(row * 40)
    return image.resize((len(row) * 4, 160), Image.Resampling.NEAREST)


SYMBOLS = [row for row in rows("code128_symbol_vectors") if known(row)]


@pytest.mark.parametrize("row", SYMBOLS, ids=lambda row: row["bracketed"])
def test_that_gs1_symbols_are_as_short_as_published_and_read_back(row: dict[str, str]) -> None:
    # an encoder may choose another valid path, so the decoded text and the count are compared
    modules = gs1_modules(row["bracketed"])
    symbols = (len(modules) - 13) // 11
    assert symbols <= int(row["symbols"]) + 1
    (found,) = zxingcpp.read_barcodes(picture(modules))
    assert found.text == row["bracketed"]
    assert found.symbology_identifier == "]C1"


@pytest.mark.parametrize("text", ["B1-000001", "B1-000001/2", "Q9XZ-999999999", "B1-123456"])
def test_that_serial_codes_are_read_back(text: str) -> None:
    (found,) = zxingcpp.read_barcodes(picture(code128_modules(text)))
    assert (found.text, found.symbology_identifier) == (text, "]C0")


def test_that_the_case_code_keeps_the_published_width() -> None:
    # source: GS1 General Specifications, 10X quiet zones; (01)(10) with six digits: 178 modules
    assert len(gs1_modules("(01)19521234000010(10)616901")) == 178
