"""What was told of a closed box's fruit: what can be computed of it, and what is never invented."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedstation.domain.fruit.ledger import FruitLedger
from shedstation.domain.fruit.step import FruitStep, StepKind
from shedstation.domain.fruit.told import FruitTold, Lying, fruit_told
from shedstation.domain.mass import Mass, Unit, add_up, parse_mass
from shedstation.domain.payload import from_payload, to_payload
from shedstation.domain.size_codes import SizeStandard

D = parse_mass("0.01 lb")


def told(*pieces: tuple[str, int | None], standard: SizeStandard | None = None) -> FruitTold:
    lying = [
        Lying(weight=parse_mass(weight), fruit=fruit, at=f"{place}")
        for place, (weight, fruit) in enumerate(pieces)
    ]
    return FruitTold(lying=tuple(lying), standard=standard)


def test_that_single_fruit_give_count_spread_and_mean() -> None:
    fruit = told(("1.02 lb", 1), ("0.95 lb", 1), ("1.10 lb", 1))
    assert (fruit.count, fruit.likely, fruit.unsure) == (3, 3, ())
    assert [str(each) for each in (fruit.smallest, fruit.largest, fruit.spread)] == [
        "0.95 lb", "1.10 lb", "0.15 lb",
    ]  # fmt: skip
    assert str(fruit.mean) == "1.023 lb"  # 3.07 / 3 = 1.0233


def test_that_a_mean_is_rounded_half_up() -> None:
    assert str(told(("1.00 lb", 1), ("1.00 lb", 1), ("1.00 lb", 1), ("1.02 lb", 1)).mean) == (
        "1.005 lb"
    )
    pieces = [("1.00 lb", 1)] * 39 + [("1.02 lb", 1)]
    assert str(told(*pieces).mean) == "1.001 lb"  # 1.0005


def test_that_a_lump_stays_a_lump_and_is_only_guessed_at() -> None:
    fruit = told(("1.00 lb", 1), ("2.04 lb", None), ("1.10 lb", 1))
    assert fruit.count is None
    assert fruit.likely == 4
    assert [str(each.weight) for each in fruit.unsure] == ["2.04 lb"]
    assert [str(each) for each in fruit.singles] == ["1.00 lb", "1.10 lb"]
    assert str(fruit.spread) == "0.10 lb"


def test_that_two_that_are_surely_two_count_but_have_no_weights_of_their_own() -> None:
    fruit = told(("1.00 lb", 1), ("2.04 lb", 2))
    assert (fruit.count, len(fruit.singles)) == (3, 1)
    assert [each.fruit for each in fruit.unsure] == [2]


def test_that_a_division_no_fruit_accounts_for_is_no_fruit() -> None:
    fruit = told(("0.01 lb", 0), ("1.00 lb", 1))
    assert (fruit.count, fruit.unsure) == (1, ())
    assert str(fruit.smallest) == "1.00 lb"


@pytest.mark.parametrize(
    ("pieces", "likely"),
    [
        ([("2.00 lb", None)], 1),
        ([("1.00 lb", None), ("2.10 lb", None)], 3),
        ([("0.30 lb", None), ("1.00 lb", 1)], 2),
        ([("-1.00 lb", None), ("1.00 lb", 1), ("1.02 lb", 1)], 1),
        ([("-1.00 lb", None)], 0),
        ([], 0),
    ],
)
def test_that_the_guess_goes_by_the_single_fruit_or_the_lightest_lump(
    pieces: list[tuple[str, int | None]], likely: int
) -> None:
    assert told(*pieces).likely == likely


def test_that_nothing_told_has_no_weights() -> None:
    nothing = told()
    assert (nothing.smallest, nothing.largest, nothing.spread, nothing.mean) == (None,) * 4
    assert nothing.count == 0


# Codex STAN 184 section 3, from memory: B is 351 to 550 g, fruit of a package differ by 100 g at most.
def test_that_size_is_judged_only_if_every_fruit_was_told_singly() -> None:
    b = [("400 g", 1), ("500 g", 1)]
    assert told(*b, standard=SizeStandard.CODEX).kept_code == "B"
    assert told(*b).size is None
    assert told(*b, ("900 g", None), standard=SizeStandard.CODEX).size is None
    wide = told(("400 g", 1), ("501 g", 1), standard=SizeStandard.CODEX)
    assert wide.size is not None
    assert (wide.size.code.code, wide.size.keeps_size, wide.kept_code) == ("B", True, None)


def test_that_it_comes_back_from_a_payload_as_it_went_in() -> None:
    for standard in (None, SizeStandard.UNECE):
        fruit = told(("1.02 lb", 1), ("2.10 lb", None), ("0.01 lb", 0), standard=standard)
        assert from_payload(FruitTold, to_payload(fruit)) == fruit


def test_that_steps_become_what_lies_in_the_box_with_its_times() -> None:
    changes = [("1.02", 1), ("0.95", 1), ("2.10", None), ("-0.95", 1)]
    steps = [
        FruitStep(
            at_s=float(place),
            change=parse_mass(f"{change} lb"),
            fruit=fruit,
            sure=fruit is not None,
            kind=StepKind.TAKEN if change.startswith("-") else StepKind.PLACED,
        )
        for place, (change, fruit) in enumerate(changes)
    ]
    lying = fruit_told(steps, lambda at_s: f"T{at_s:.0f}", None).lying
    assert [(str(each.weight), each.fruit, each.at) for each in lying] == [
        ("1.02 lb", 1, "T0"), ("2.10 lb", None, "T2"),
    ]  # fmt: skip


@given(st.lists(st.integers(-600, 3000), max_size=20), st.integers(1, 8), st.integers(0, 3000))
def test_that_weights_sum_to_the_net_whatever_the_scale_shows(
    levels: list[int], readings: int, net: int
) -> None:
    ledger, at_s = FruitLedger(D), 0.0
    for before, after in pairwise((0, *levels)):
        for count in ((before + after) // 2, *[after] * readings):
            at_s += 0.1
            ledger.hear(at_s, Mass(count, 2, Unit.LB))
    fruit = fruit_told(ledger.close(Mass(net, 2, Unit.LB)), str, SizeStandard.CODEX)
    total = add_up(each.weight for each in fruit.lying)
    assert (0 if total is None else total.count) == net
    known = [*fruit.singles, *(each.weight for each in fruit.lying if each.fruit != 1)]
    assert sum(each.count for each in known) == net
    assert fruit.likely >= 0
    assert fruit.size is None or not fruit.unsure
