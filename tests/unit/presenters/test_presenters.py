"""What screens show, without a screen."""

from dataclasses import replace
from datetime import date

import pytest
from driving import DAY, Driver, Spool

from shedstation.domain.box import LabelJob
from shedstation.domain.culls import Where
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Unit, parse_mass
from shedstation.domain.price import parse_price
from shedstation.presenters.bench import BenchScreen, bench_screen
from shedstation.presenters.corrections import Wanted, before_and_after, in_range
from shedstation.presenters.fill import fill_picture
from shedstation.presenters.setup_draft import DEFAULTS, BadDraft, draft_of, setup_of
from shedstation.presenters.tables import culls_by
from shedstation.presenters.typed import (
    typed_count,
    typed_day,
    typed_mass,
    typed_shown,
    typed_time,
    typed_tub,
)
from shedstation.station.actions import CloseBox, EnterCull, TareBox
from shedstation.store.ledger import SqlLedger
from shedstation.ui.printing import PrinterSpool
from shedstation.words import Words

NEW_FARM = {**DEFAULTS, "farm_name": "Example", "address": "1 Example Road", "origin": "Example"}


def shown(bench: Driver, setup: Setup, words: Words) -> BenchScreen:
    return bench_screen(bench.view, setup, words, None, 0)


def test_that_under_on_and_over_differ_by_sign_word_and_place(
    bench: Driver, sample_setup: Setup, words: Words
) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.ask(TareBox)
    seen = []
    for pounds in ("20.00", "26.74", "30.00"):
        bench.shows(pounds)
        screen = shown(bench, sample_setup, words)
        assert screen.gauge is not None
        seen.append((screen.sign, screen.sentence.split()[0], screen.tone, screen.gauge.filled))
    assert [each[:3] for each in seen] == [
        ("+", "Add", "add"),
        ("✓", "On", "on"),
        ("\u2212", "Take", "out"),
    ]
    fills = [each[3] for each in seen]
    assert fills == sorted(fills)


def test_that_the_fruit_that_would_land_in_the_window_is_named(
    bench: Driver, sample_setup: Setup, words: Words
) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.ask(TareBox)
    bench.shows("25.35")
    assert shown(bench, sample_setup, words).detail.startswith("1.29 lb to 1.59 lb more")
    bench.shows("27.18")
    assert shown(bench, sample_setup, words).detail.startswith("0.24 lb to 0.54 lb less")


def test_that_the_crate_is_the_closed_box_until_it_is_lifted(
    bench: Driver, sample_setup: Setup, words: Words
) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.ask(TareBox)
    bench.shows("26.74")
    bench.ask(CloseBox)
    screen = shown(bench, sample_setup, words)
    assert "B1-000001" in screen.crate_title
    assert ("B1-000001" in screen.closed, screen.last) == (True, "")
    bench.shows("0.00")
    screen = shown(bench, sample_setup, words)
    assert "B1-000002" in screen.crate_title
    assert (screen.closed, "B1-000001" in screen.last) == ("", True)


def test_that_a_day_is_pictured_box_by_box_about_its_target(
    bench: Driver, sample_setup: Setup, words: Words
) -> None:
    for pounds in ("26.74", "26.84"):
        bench.shows("0.00")
        bench.shows("1.64")
        bench.ask(TareBox)
        bench.shows(pounds)
        bench.ask(CloseBox)
    picture = fill_picture(bench.boxes, sample_setup, words)
    assert [mark.net for mark in picture.marks] == [pytest.approx(0.1), pytest.approx(0.2)]
    assert [(mark.lowest, mark.highest) for mark in picture.marks] == [
        (0.0, pytest.approx(0.3))
    ] * 2
    assert picture.said == "Net less target: lightest 0.10 lb, mean 0.15 lb, heaviest 0.20 lb."
    # 0.10 and 0.20 lb over 25 lb; two boxes are no five to be charted.
    assert picture.control == "Given away over the labels: 0.30 lb in 2 boxes."
    packs = (replace(sample_setup.packs[0], price=parse_price("1.25 USD/lb")),)
    priced = fill_picture(bench.boxes, replace(sample_setup, packs=packs), words)
    assert priced.control == "Given away over the labels: 0.30 lb, 0.38 USD in 2 boxes."
    assert fill_picture((), sample_setup, words).marks == ()


def test_that_a_days_fills_are_told_from_chance(
    bench: Driver, sample_setup: Setup, words: Words
) -> None:
    fives = ["26.64", "26.69", "26.74", "26.79", "26.84"]
    for pounds in (*fives, *fives, *["26.94"] * 5, "26.64"):
        bench.shows("0.00")
        bench.shows("1.64")
        bench.ask(TareBox)
        bench.shows(pounds)
        bench.ask(CloseBox)
    # Ranges 0.20, 0.20 and 0.00 lb: mean 0.1333 lb; sigma is that over 2.326. The third five, mean
    # 0.30 lb, lies above 0.1667 + 0.577 x 0.1333 = 0.2436 lb; the others, 0.10 lb, above 0.0897 lb.
    said = fill_picture(bench.boxes, sample_setup, words).control.splitlines()
    given, spread = said
    assert given == "Given away over the labels: 2.50 lb in 16 boxes."
    assert spread.startswith(
        "Flat 25 lb: spread of fills 0.06 lb; groups of five beyond chance: 1 of 3;"
    )


@pytest.mark.parametrize(
    ("unit", "shown", "over"),
    [
        # 11.385 kg is 25.0996 lb: twice 0.04519 kg over 25 lb, cut to the scale's decimals.
        (Unit.KG, ("0.005 kg", "30 kg", "0.000 kg", "0.745 kg", "12.130 kg"), "0.090 kg"),
        # 25 lb 1.6 oz, twice 1.6 oz over.
        (
            Unit.LB_OZ,
            ("0 lb 0.1 oz", "60 lb 0.0 oz", "0 lb 0.0 oz", "1 lb 10.2 oz", "26 lb 11.8 oz"),
            "0 lb 3.2 oz",
        ),
    ],
    ids=lambda each: each.value if isinstance(each, Unit) else "",
)
def test_that_a_scale_in_another_unit_than_the_label_counts_what_is_given_away(
    *,
    ledger: SqlLedger,
    sample_setup: Setup,
    words: Words,
    unit: Unit,
    shown: tuple[str, ...],
    over: str,
) -> None:
    division, capacity, nothing, tare, gross = shown
    scale = replace(
        sample_setup.benches[0],
        unit=unit,
        division=parse_mass(division),
        capacity=parse_mass(capacity),
    )
    setup = replace(sample_setup, benches=(scale,))
    driver = Driver(ledger, setup, Spool())
    driver.open_day()
    for _ in range(2):
        driver.hear(nothing)
        driver.hear(tare)
        driver.ask(TareBox)
        driver.hear(gross)
        driver.ask(CloseBox)
    assert [str(box.net_on_label) for box in driver.boxes] == ["25 lb"] * 2
    control = fill_picture(driver.boxes, setup, words).control
    assert control == f"Given away over the labels: {over} in 2 boxes."


def test_that_the_window_stands_where_it_is_on_the_ruler(
    bench: Driver, sample_setup: Setup, words: Words
) -> None:
    gauge = shown(bench, sample_setup, words).gauge
    assert gauge is not None
    assert gauge.lowest == pytest.approx(25.0 / 27.0)
    assert gauge.highest == pytest.approx(25.3 / 27.0)
    assert [tick.text for tick in gauge.ticks] == ["0", "5", "10", "15", "20", "25"]


def test_that_a_unit_is_never_left_off(bench: Driver, sample_setup: Setup, words: Words) -> None:
    bench.shows("12.30")
    screen = shown(bench, sample_setup, words)
    assert (screen.number, screen.unit) == ("12.30", "lb")
    assert "lb" in screen.sentence


def test_that_pounds_and_ounces_are_shown_whole(
    bench: Driver, sample_setup: Setup, words: Words
) -> None:
    bench.hear("24 lb 8.0 oz")
    screen = shown(bench, sample_setup, words)
    assert (screen.number, screen.unit) == ("24 lb 8.0 oz", "")


def test_that_no_weight_is_shown_as_none(bench: Driver, sample_setup: Setup, words: Words) -> None:
    assert shown(bench, sample_setup, words).number == "–"  # noqa: RUF001


def test_that_a_setup_survives_its_own_screen(sample_setup: Setup) -> None:
    assert setup_of(draft_of(sample_setup), sample_setup, None) == sample_setup


@pytest.mark.parametrize(
    ("field", "text"),
    [("farm_name", " "), ("target", "25"), ("division", "fine"), ("panel_width", "0"),
     ("gtin", "19521234000011"),
     ("cultivars", ""), ("tare_least", ""), ("panel_height", "high")],
)  # fmt: skip
def test_that_a_field_that_cannot_be_used_is_named(field: str, text: str, words: Words) -> None:
    with pytest.raises(BadDraft) as raised:
        setup_of({**NEW_FARM, field: text}, None, None)
    said = words.say(raised.value.message)
    assert "{" not in said
    assert "ui." not in said


def test_that_a_new_pin_replaces_the_old_and_none_keeps_it() -> None:
    first = setup_of(NEW_FARM, None, "salt$abc")
    assert setup_of(NEW_FARM, first, None).lead_pin_hash == "salt$abc"
    assert setup_of(NEW_FARM, first, "salt$def").lead_pin_hash == "salt$def"


def test_that_a_correction_is_seen_before_it_is_made(
    bench: Driver, sample_setup: Setup, words: Words
) -> None:
    for _ in range(3):
        bench.shows("0.00")
        bench.shows("1.64")
        bench.ask(TareBox)
        bench.shows("26.74")
        bench.ask(CloseBox)
    boxes = in_range(bench.boxes, "B1-000002", "B1-000003")
    table = before_and_after(boxes, Wanted(grade="2"), sample_setup, words)
    assert [row[0] for row in table.rows] == ["B1-000002", "B1-000003"]
    assert all("1  →  2" in row for row in table.rows)
    assert Wanted(grade="2").changes == {"grade": "2"}


@pytest.mark.parametrize(
    ("text", "mass"), [("3.5", "3.5 lb"), ("3.5 kg", "3.5 kg"), (" 2 lb", "2 lb")]
)
def test_that_a_bare_number_is_in_the_benchs_unit(text: str, mass: str) -> None:
    assert typed_mass(text, Unit.LB) == parse_mass(mass)


@pytest.mark.parametrize(
    ("text", "mass"),
    [("25.42lb", "25.42 lb"), ("  +25.42  LB ", "25.42 lb"), ("-1,64", "-1.64 lb"), ("0", "0 lb"),
     ("25lb 6.2oz", "25 lb 6.2 oz"), ("- 0.40 kg", "-0.40 kg")],
)  # fmt: skip
def test_that_what_a_display_shows_is_taken_as_scales_and_people_type_it(
    text: str, mass: str
) -> None:
    assert typed_shown(text, Unit.LB) == parse_mass(mass)


@pytest.mark.parametrize("text", ["", "0", "-1", "lots", "3.5.1"])
def test_that_what_is_no_amount_is_not_taken(text: str) -> None:
    with pytest.raises(ValueError, match=r".*"):
        typed_mass(text, Unit.LB)
    with pytest.raises(ValueError, match=r".*"):
        typed_count(text)


def test_that_a_printer_that_is_not_there_is_told(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.ask(TareBox)
    bench.shows("26.74")
    bench.ask(CloseBox)
    bench.station.print_next(bench.now)
    job: LabelJob = bench.spool.taken[0]
    spool = PrinterSpool("no such printer", 203, lambda _job: (b"\xff", 1, 1, 25.4, 25.4))
    with pytest.raises(WorldFault, match="no_printer"):
        spool.hand_over(replace(job))


@pytest.mark.parametrize(
    ("text", "time"), [("6", "06:00"), ("6:30", "06:30"), ("06:05", "06:05"), ("", ""), ("x", "x")]
)
def test_that_a_time_may_be_typed_short(text: str, time: str) -> None:
    assert typed_time(text) == time


@pytest.mark.parametrize(
    ("text", "mass"), [("400,5", "400.5 lb"), ("400.5 kg", "400.5 kg"), ("3", "3 lb")]
)
def test_that_a_weight_may_have_a_decimal_comma(text: str, mass: str) -> None:
    assert typed_mass(text, Unit.LB) == parse_mass(mass)


@pytest.mark.parametrize("text", ["30-1 kg", "3-4", "3", "x-y"])
def test_that_a_tub_must_be_possible(text: str) -> None:
    with pytest.raises(ValueError, match=r".*"):
        typed_tub(text, Unit.LB)
    assert typed_tub("34.5-3.5", Unit.LB).is_possible


def test_that_days_can_be_counted_back() -> None:
    assert typed_day("1", DAY) == date(2026, 6, 17)
    assert typed_day("2026-06-01", DAY) == date(2026, 6, 1)
    with pytest.raises(ValueError, match="25/11"):
        typed_day("25/11", DAY)


def test_that_culls_by_block_are_named_and_weighed(
    bench: Driver, sample_setup: Setup, words: Words
) -> None:
    bench.ask(EnterCull, load="L1", defect="SCAR", weight=parse_mass("1.20 lb"), where=Where.BENCH)
    bench.ask(EnterCull, load="L1", defect="SCAR", count=2, where=Where.BENCH)
    table = culls_by(bench.ledger.culls_on(DAY), "block", sample_setup, words)
    assert table.rows == (("Windbreak Row", "scar or rub", "2", "1.20 lb"),)
