"""What the scale told of the fruit is on the box's record; a typed count wins; unsure is asked about."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from driving import Driver, Spool

from shedstation.bootstrap.headless import open_ledger
from shedstation.domain.bench_sequence import Step
from shedstation.domain.box import Box
from shedstation.domain.facts import Kind
from shedstation.domain.farm import Setup
from shedstation.domain.mass import add_up, parse_mass
from shedstation.domain.reading import State
from shedstation.domain.size_codes import SizeStandard
from shedstation.station.actions import (
    AbandonBox,
    CloseBox,
    ContinueBox,
    Correct,
    TareBox,
    VoidBox,
)
from shedstation.station.bench_view import NextKey
from shedstation.store.check import check
from shedstation.store.ledger import SqlLedger

SINGLY = [f"{1.64 + 0.5 * number:.2f}" for number in range(1, 51)]
"""Fifty fruit of half a pound, up to 25.00 lb net."""


def sized(setup: Setup) -> Setup:
    packs = tuple(replace(pack, size_standard=SizeStandard.CODEX) for pack in setup.packs)
    return replace(setup, packs=packs)


@pytest.fixture
def telling(ledger: SqlLedger, sample_setup: Setup) -> Driver:
    driver = Driver(ledger, sized(sample_setup), Spool(), tells_fruit=True)
    driver.open_day()
    tare(driver)
    return driver


def tare(driver: Driver) -> None:
    driver.shows("0.00")
    driver.shows("1.64", times=4)
    driver.ask(TareBox)


def fill(driver: Driver, loads: list[str]) -> None:
    for load in loads:
        driver.shows(load, times=4)


def last(driver: Driver) -> Box:
    return driver.boxes[-1]


def test_that_a_box_keeps_the_weights_of_its_fruit(telling: Driver) -> None:
    fill(telling, SINGLY)
    assert telling.ask(CloseBox, asks=True).done
    box = last(telling)
    assert box.fruit is not None
    assert (box.count, box.fruit_count, box.fruit.count) == (None, 50, 50)
    assert add_up(box.fruit.singles) == box.net
    assert box.fruit.kept_code == "A"  # 226.8 g each (Codex 184 from memory: A is 200 to 350 g)
    assert [each.at for each in box.fruit.lying] == sorted(each.at for each in box.fruit.lying)


def test_that_a_typed_count_wins_and_the_scales_own_stays_beside_it(telling: Driver) -> None:
    fill(telling, SINGLY)
    telling.ask(CloseBox, count=49, asks=True)
    box = last(telling)
    assert box.fruit is not None
    assert (box.count, box.fruit_count, box.fruit.count) == (49, 49, 50)


def test_that_an_unsure_box_is_asked_about_and_closes_at_the_answer(telling: Driver) -> None:
    fill(telling, [*SINGLY[:-4], SINGLY[-1]])
    telling.ask(CloseBox, asks=True)
    question = telling.view.count_asked
    assert not telling.boxes
    assert question is not None
    assert (question.likely, [str(each) for each in question.unsure]) == (50, ["2.00 lb"])
    assert telling.view.say.name == "bench.count_fruit"
    assert telling.view.next_key is NextKey.CLOSE
    answer = replace(question.close, at_s=telling.now, count=49, asks=False)
    assert telling.station.carry_out(answer).done
    box = last(telling)
    assert box.fruit is not None
    assert (box.fruit_count, box.fruit.count, box.fruit.likely) == (49, None, 50)
    assert telling.view.count_asked is None


def test_that_without_an_answer_it_closes_as_unsure(telling: Driver) -> None:
    fill(telling, [*SINGLY[:-4], SINGLY[-1]])
    telling.ask(CloseBox)
    box = last(telling)
    assert box.fruit is not None
    assert (box.fruit_count, box.fruit.size) == (None, None)
    assert add_up(each.weight for each in box.fruit.lying) == box.net


def test_that_a_close_outside_the_window_is_refused_before_anything_is_asked(
    telling: Driver,
) -> None:
    fill(telling, ["5.64", "9.64"])
    assert telling.code(CloseBox, asks=True) == "outside_window"
    assert telling.view.count_asked is None


def test_that_a_waiting_press_asks_once_the_weight_is_steady(telling: Driver) -> None:
    fill(telling, [*SINGLY[:-4], "20.00"])
    telling.hear("26.00 lb", State.MOVING)
    assert telling.ask(CloseBox, asks=True).waiting
    telling.shows("26.64", times=1, through=False)
    assert telling.view.count_asked is not None
    assert not telling.boxes


def test_that_the_question_ends_with_an_abandoned_box(telling: Driver) -> None:
    fill(telling, [*SINGLY[:-4], SINGLY[-1]])
    telling.ask(CloseBox, asks=True)
    telling.ask(AbandonBox, reason="wrong box")
    assert telling.view.count_asked is None
    telling.shows("0.00", times=4)
    assert not telling.boxes


def test_that_a_box_lifted_off_while_it_is_asked_is_closed_uncounted(telling: Driver) -> None:
    fill(telling, [*SINGLY[:-4], SINGLY[-1]])
    telling.ask(CloseBox, asks=True)
    telling.shows("0.00", times=4)
    box = last(telling)
    assert (str(box.net), box.fruit_count) == ("25.00 lb", None)
    assert telling.view.count_asked is None
    assert telling.view.step is Step.EMPTY


def test_that_it_is_closed_on_what_lay_in_it_last(telling: Driver) -> None:
    fill(telling, [*SINGLY[:-4], SINGLY[-1]])
    telling.ask(CloseBox, asks=True)
    telling.shows("26.84", times=4)
    telling.shows("0.00", times=4)
    assert str(last(telling).net) == "25.20 lb"


@pytest.mark.parametrize("shown", ["1.64", "1.00"])
def test_that_a_box_tipped_out_while_it_is_asked_is_not_closed(telling: Driver, shown: str) -> None:
    fill(telling, [*SINGLY[:-4], SINGLY[-1]])
    telling.ask(CloseBox, asks=True)
    telling.shows(shown, times=4)
    assert not telling.boxes


def test_that_a_box_too_light_when_it_is_lifted_stays_open(telling: Driver) -> None:
    fill(telling, [*SINGLY[:-4], SINGLY[-1]])
    telling.ask(CloseBox, asks=True)
    telling.shows("26.14", times=4)
    telling.shows("0.00", times=4)
    assert not telling.boxes
    assert telling.view.step is Step.LIFTED


def test_that_fruit_put_in_while_it_is_asked_are_counted_in(telling: Driver) -> None:
    fill(telling, [*SINGLY[:-4], SINGLY[-2]])
    telling.ask(CloseBox, override_reason="short", asks=True)
    before = telling.view.count_asked
    telling.shows(SINGLY[-1], times=4)
    after = telling.view.count_asked
    assert before is not None
    assert after is not None
    assert (before.likely, after.likely) == (49, 50)
    assert after.close.override_reason == "short"


def test_that_a_box_open_at_a_restart_has_a_lump_that_nobody_saw(
    telling: Driver, sample_setup: Setup
) -> None:
    fill(telling, SINGLY[:20])
    again = Driver(telling.ledger, sized(sample_setup), Spool(), tells_fruit=True)
    again.now = telling.now + 60
    again.shows("11.64", times=4)
    again.ask(ContinueBox)
    again.shows("11.64", times=4)
    fill(again, SINGLY[20:])
    again.ask(CloseBox)
    box = last(again)
    assert box.fruit is not None
    assert [str(each.weight) for each in box.fruit.unsure] == ["10.00 lb"]
    assert (box.fruit.count, box.fruit.likely, len(box.fruit.singles)) == (None, 50, 30)


def test_that_voids_and_corrections_keep_what_was_told(telling: Driver) -> None:
    fill(telling, SINGLY)
    telling.ask(CloseBox)
    told = last(telling).fruit
    change = {"what": "box", "which": ("last",), "reason": "counted again"}
    telling.ask(Correct, **change, set={"count": 48})
    assert (last(telling).fruit_count, last(telling).fruit) == (48, told)
    telling.ask(VoidBox, serial="last", reason="dropped")
    assert (last(telling).voided, last(telling).fruit) == (True, told)


def test_that_the_tables_are_what_the_facts_make_of_them(telling: Driver) -> None:
    fill(telling, SINGLY)
    telling.ask(CloseBox)
    telling.ask(Correct, what="box", which=("last",), set={"grade": "2"}, reason="scarred")
    assert last(telling).fruit is not None
    assert check(telling.ledger).damage == ()


def test_that_the_fact_keeps_every_placement_and_removal(telling: Driver) -> None:
    fill(telling, SINGLY[:2])
    for load in (SINGLY[2], SINGLY[1]):
        telling.shows(load, times=12)  # longer than a hand would rest there
    fill(telling, SINGLY[2:])
    telling.ask(CloseBox)
    (fact,) = [each for each in telling.ledger.facts() if each.kind is Kind.BOX_CLOSED]
    steps: Any = fact.payload["fruit_steps"]
    changes = [parse_mass(each["change"]) for each in steps]
    assert add_up(changes) == last(telling).net
    assert [each["kind"] for each in steps[:5]] == ["placed"] * 3 + ["taken", "placed"]
    assert (len(steps), last(telling).fruit_count) == (52, 50)


def test_that_a_bench_that_tells_no_fruit_records_what_it_always_did(
    tmp_path: Path, bench: Driver, sample_setup: Setup
) -> None:
    tare(bench)
    fill(bench, SINGLY[:-4])
    fill(bench, SINGLY[-1:])
    bench.ask(CloseBox, asks=True)
    (fact,) = [each for each in bench.ledger.facts() if each.kind is Kind.BOX_CLOSED]
    assert not {"fruit", "fruit_steps"} & set(fact.payload)
    with open_ledger(tmp_path / "again") as ledger:
        again = Driver(ledger, sample_setup, Spool())
        assert again.view.count_asked is None
