"""What a label says of size and count: only what is known, and nothing that the fruit speak against."""

from dataclasses import replace

import pytest
from driving import Driver, Spool

from shedstation.domain.box import Box
from shedstation.domain.farm import Setup
from shedstation.domain.fruit.told import FruitTold, Lying
from shedstation.domain.label_fields import label_fields
from shedstation.domain.mass import parse_mass
from shedstation.domain.size_codes import SizeStandard
from shedstation.labels.check import check_template
from shedstation.station.actions import CloseBox, TareBox
from shedstation.store.ledger import SqlLedger


def told(*grams: str, lump: bool = False) -> FruitTold:
    lying = [Lying(weight=parse_mass(f"{each} g"), fruit=1, at="") for each in grams]
    if lump:
        lying.append(Lying(weight=parse_mass("900 g"), fruit=None, at=""))
    return FruitTold(lying=tuple(lying), standard=SizeStandard.CODEX)


def fields(box: Box, setup: Setup, claimed: str | None = None) -> dict[str, str]:
    packs = tuple(
        replace(pack, size_standard=SizeStandard.CODEX, size_code=claimed) for pack in setup.packs
    )
    text = label_fields(box, replace(setup, packs=packs), revision=1, copy_no=0)
    names = ("count", "size_code", "size_range")
    return {name: text[name] for name in names if text.get(name)}


# Codex STAN 184 section 3 (from memory): A 200 to 350 g, B 351 to 550 g with 100 g between them.
@pytest.mark.parametrize(
    ("fruit", "claimed", "printed"),
    [
        (None, None, {}),
        (None, "B", {"size_code": "B"}),
        (told("400", "480.2"), None, {"count": "2", "size_code": "B", "size_range": "400-481 g"}),
        (told("400", "480"), "B", {"count": "2", "size_code": "B", "size_range": "400-480 g"}),
        (told("400", "480"), "A", {"count": "2", "size_range": "400-480 g"}),
        (told("400", "501"), "B", {"count": "2", "size_range": "400-501 g"}),
        (told("900", "950"), "B", {"count": "2", "size_range": "900-950 g"}),
        (told("400", "480", lump=True), None, {}),
        (told("400", "480", lump=True), "B", {"size_code": "B"}),
    ],
)
def test_that_only_what_is_known_is_printed(
    box: Box,
    sample_setup: Setup,
    fruit: FruitTold | None,
    claimed: str | None,
    printed: dict[str, str],
) -> None:
    assert fields(replace(box, fruit=fruit), sample_setup, claimed) == printed


def test_that_a_count_that_differs_leaves_the_claim_to_the_person(
    box: Box, sample_setup: Setup
) -> None:
    counted = replace(box, fruit=told("400", "480"), count=3)
    assert fields(counted, sample_setup) == {"count": "3"}
    assert fields(counted, sample_setup, "A") == {"count": "3", "size_code": "A"}


def test_that_fields_that_came_later_are_left_out_while_empty(
    box: Box, sample_setup: Setup
) -> None:
    text = label_fields(box, sample_setup, revision=1, copy_no=0)
    assert not {"size_code", "size_range"} & set(text)
    assert text["count"] == ""


def test_that_a_size_code_too_wide_for_its_place_is_found(sample_setup: Setup) -> None:
    packs = tuple(
        replace(pack, size_standard=SizeStandard.CODEX, size_code="W" * 30)
        for pack in sample_setup.packs
    )
    setup = replace(sample_setup, packs=packs, label_template="bench_4x2_size")
    assert "labels.text_too_wide" in {each.name for each in check_template(setup)}


def test_that_a_box_whose_fruit_speak_against_its_size_is_named_at_the_bench(
    ledger: SqlLedger, sample_setup: Setup
) -> None:
    packs = tuple(
        replace(pack, size_standard=SizeStandard.CODEX, size_code="B")
        for pack in sample_setup.packs
    )
    bench = Driver(ledger, replace(sample_setup, packs=packs), Spool(), tells_fruit=True)
    bench.open_day()
    bench.shows("0.00")
    bench.shows("1.64", times=4)
    bench.ask(TareBox)
    for number in range(1, 51):
        bench.shows(f"{1.64 + number / 2:.2f}", times=4)
    bench.ask(CloseBox)
    bench.shows("0.00", times=3)
    assert bench.view.say.name == "bench.size_not_kept"
    assert bench.view.say.values["smallest"] == parse_mass("0.50 lb")
    bench.shows("1.64", times=4)
    bench.ask(TareBox)
    bench.shows("0.00", times=3)
    assert bench.view.say.name != "bench.size_not_kept"
