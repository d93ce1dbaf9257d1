"""Where the fruit of a load are: what came in is what was packed, culled, held, in cups and left."""

from datetime import date

import pytest

from shedstation.domain.box import Box, TareBy
from shedstation.domain.culls import Cull, Where
from shedstation.domain.facts import Fact, Kind
from shedstation.domain.intake import Load, Share
from shedstation.domain.kept_cups import KeptCup, KeptCups, cups_after
from shedstation.domain.limits import Verdict
from shedstation.domain.load_balance import HeldChange, LoadBalance, load_balance
from shedstation.domain.mass import Mass, add_up, parse_mass
from shedstation.presenters.balance import balance_said
from shedstation.words import Words

DAY = date(2026, 6, 18)


def load(weight: str | None) -> Load:
    mass = None if weight is None else parse_mass(weight)
    return Load(load="L1", block="A", cultivar="KENT", picked_on=DAY, received_on=DAY, weight=mass)


def box(net: str, *, voided: bool = False) -> Box:
    mass = parse_mass(net)
    return Box(
        serial="B1-000001",
        lot="616901",
        load="L1",
        block="A",
        cultivar="KENT",
        picked_on=DAY,
        packed_on=DAY,
        pack="Flat",
        grade="1",
        gross=mass,
        tare=Mass(0, 2, mass.unit),
        tare_by=TareBy.STATION,
        net=mass,
        net_on_label=mass,
        verdict=Verdict.ON,
        override_reason=None,
        count=None,
        at="2026-06-18T10:00:00.000Z",
        bench="B1",
        voided=voided,
    )


def cull(weight: str | None) -> Cull:
    return Cull(
        id="C1",
        load="L1",
        lot="616901",
        block="A",
        cultivar="KENT",
        defect="CUT",
        count=2,
        weight=None if weight is None else parse_mass(weight),
        where=Where.BENCH,
        at="2026-06-18T10:00:00.000Z",
    )


def cup(number: int, weight: str) -> KeptCup:
    since = "2026-06-18T10:00:00.000Z"
    return KeptCup(cup=number, weight=parse_mass(weight), load="L1", grade="1", since=since)


def share(weight: str | None, count: int | None = None) -> Share:
    return Share(count=count, weight=None if weight is None else parse_mass(weight))


def whole() -> LoadBalance:
    return load_balance(
        load("400.0 lb"),
        [box("25.02 lb"), box("25.10 lb"), box("25.00 lb", voided=True)],
        [cull("3.20 lb"), cull(None)],
        [
            HeldChange(put_in=share("40.0 lb")),
            HeldChange(ready=share("10.0 lb"), cull=share("2.0 lb")),
            HeldChange(ready=share(None, 5)),
        ],
        [cup(1, "1.10 lb"), cup(4, "0.92 lb")],
    )


def test_that_what_came_in_is_the_sum_of_where_it_is() -> None:
    balance = whole()
    assert (str(balance.packed), str(balance.culled)) == ("50.12 lb", "5.20 lb")
    assert (str(balance.held), str(balance.in_cups)) == ("28.0 lb", "2.02 lb")
    parts = (balance.packed, balance.culled, balance.held, balance.in_cups, balance.rest)
    total = add_up(each for each in parts if each is not None)
    assert total is not None
    assert total.same_as(parse_mass("400 lb"))
    assert balance.unweighed == 2


def test_that_a_cups_fruit_counts_as_still_of_the_load() -> None:
    without = load_balance(load("10.00 lb"), [], [], [], [])
    with_cup = load_balance(load("10.00 lb"), [], [], [], [cup(1, "1.10 lb")])
    assert (str(without.rest), str(with_cup.rest)) == ("10.00 lb", "8.90 lb")


def test_that_a_load_that_was_not_weighed_has_no_rest() -> None:
    balance = load_balance(load(None), [box("25.02 lb")], [], [], [])
    assert (balance.received, balance.rest, str(balance.packed)) == (None, None, "25.02 lb")


@pytest.mark.parametrize(
    ("balance", "said"),
    [
        (
            whole(),
            (
                "Load L1: 400.0 lb received = 50.12 lb packed + 5.20 lb culled + 28.0 lb held + "
                "2.02 lb in cups + 314.66 lb still to pack. 2 entries were counted and not weighed: "
                "they are in none of these."
            ),
        ),
        (
            load_balance(load("20.00 lb"), [box("25.02 lb")], [], [], []),
            (
                "Load L1: 25.02 lb packed + 0 lb culled + 0 lb held + 0 lb in cups = 5.02 lb more "
                "than the 20.00 lb received."
            ),
        ),
        (
            load_balance(load(None), [], [cull("1.0 kg")], [], []),
            (
                "Load L1, not weighed when it came: 0 kg packed, 1.0 kg culled, 0 kg held, "
                "0 kg in cups."
            ),
        ),
    ],
)
def test_that_it_is_said_in_a_sentence(balance: LoadBalance, said: str, words: Words) -> None:
    assert balance_said(load(None), balance, words) == said


# ---- what stands in the cups, from the facts


def fact(kind: Kind, **payload: str | int) -> Fact:
    return Fact(
        kind=kind,
        bench="B1",
        at="2026-06-18T11:00:00.000Z",
        by=None,
        payload=payload,
        uid="u",
        seq=1,
        hash="h",
    )


def kept(*facts: Fact) -> KeptCups:
    cups = KeptCups()
    for each in facts:
        cups = cups_after(cups, each)
    return cups


def filled(cup_number: int, weight: str) -> Fact:
    since = "2026-06-18T10:00:00.000Z"
    return fact(Kind.CUP_FILLED, cup=cup_number, weight=weight, load="L1", grade="1", since=since)


def test_that_facts_fill_empty_and_correct_cups() -> None:
    both = (filled(3, "0.92 lb"), filled(1, "1.10 lb"))
    assert kept(*both).cups == (cup(1, "1.10 lb"), cup(3, "0.92 lb"))
    swapped = kept(*both, fact(Kind.CUP_CORRECTED, cup=1, real=3))
    assert swapped.cups == (cup(1, "0.92 lb"), cup(3, "1.10 lb"))
    moved = kept(*both, fact(Kind.CUP_CORRECTED, cup=1, real=2))
    assert moved.cups == (cup(2, "1.10 lb"), cup(3, "0.92 lb"))
    assert kept(*both, fact(Kind.CUP_EMPTIED, cup=3, to="box")).cups == (cup(1, "1.10 lb"),)


def test_that_a_doubt_is_kept_with_its_time() -> None:
    cups = kept(filled(1, "1.10 lb"), fact(Kind.CUPS_DOUBTED, why="zero"))
    assert (cups.doubted, len(cups.cups)) == ("2026-06-18T11:00:00.000Z", 1)


def test_that_a_cup_that_is_empty_cannot_be_emptied() -> None:
    with pytest.raises(KeyError):
        kept(fact(Kind.CUP_EMPTIED, cup=2, to="tub"))
