"""Scales that send one reading at their print key or once a load is steady, and weights typed by hand."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from driving import DAY, Driver, Spool

from shedstation.bootstrap.headless import open_ledger
from shedstation.domain.bench_sequence import Step
from shedstation.domain.day import day_json
from shedstation.domain.farm import Sends, Setup
from shedstation.domain.mass import parse_mass
from shedstation.domain.reading import LineBack, LineLost, State
from shedstation.station.actions import CloseBox, ContinueBox, TareBox, TypeWeight
from shedstation.station.bench_view import NextKey


@pytest.fixture(params=[Sends.ON_KEY, Sends.WHEN_STEADY])
def single(request: pytest.FixtureRequest, sample_setup: Setup, tmp_path: Path) -> Iterator[Driver]:
    bench = replace(sample_setup.benches[0], sends=request.param)
    with open_ledger(tmp_path) as ledger:
        made = Driver(ledger, replace(sample_setup, benches=(bench,)), Spool())
        made.station.hear("B1", LineBack(made.now))
        made.open_day()
        yield made


def test_that_a_box_is_packed_with_one_reading_a_step(single: Driver) -> None:
    for gross in ("26.74", "26.80"):
        single.hear("1.64 lb", after=8.0)
        assert single.view.next_key is NextKey.TARE
        assert single.code(TareBox) is None
        single.hear("20.00 lb", after=30.0)
        assert single.view.say.name == "bench.add"
        single.hear(f"{gross} lb", after=12.0)
        single.wait(6.0)
        assert single.code(CloseBox) is None
        assert single.view.step is Step.CLOSED
    assert [str(box.net) for box in single.boxes] == ["25.10 lb", "25.16 lb"]
    assert [str(box.tare) for box in single.boxes] == ["1.64 lb", "1.64 lb"]


def test_that_a_reading_is_good_for_one_step_only(single: Driver) -> None:
    single.hear("1.64 lb")
    assert single.code(TareBox) is None
    single.hear("26.74 lb")
    single.station.hear("B1", LineLost(single.now))
    single.station.hear("B1", LineBack(single.now + 1))
    single.now += 1
    single.hear("26.80 lb")
    assert single.view.step is Step.CHANGED
    assert single.code(ContinueBox) is None
    assert single.view.next_key is NextKey.NOTHING
    assert single.view.say.name in ("bench.fill_and_print", "bench.fill_and_settle")
    assert single.ask(CloseBox).waiting
    single.hear("26.80 lb", after=1.0)
    assert single.view.step is Step.CLOSED


def test_that_a_reading_has_an_age_and_an_end(single: Driver) -> None:
    single.hear("1.64 lb")
    single.wait(4.0)
    assert single.view.age_s == pytest.approx(4.0)
    single.wait(12.0)
    assert single.view.reading is None
    assert single.view.say.name in (
        "bench.press_print",
        "bench.let_it_settle",
        "bench.print_box",
        "bench.settle_box",
    )
    assert single.ask(TareBox).waiting
    single.wait(4.0)
    assert single.refusals == ["not_steady"]


def test_that_a_reading_without_a_mark_counts_as_steady(single: Driver) -> None:
    single.hear("1.64 lb", State.MOVING, judged=True)
    assert single.code(TareBox) is None


def test_that_one_sent_while_moving_does_not(single: Driver) -> None:
    single.hear("1.64 lb", State.MOVING)
    assert single.ask(TareBox).waiting


def test_that_a_jump_to_zero_between_two_readings_is_no_key(single: Driver) -> None:
    single.hear("1.64 lb", after=5.0)
    single.hear("0.00 lb", after=5.0)
    assert single.view.step is Step.EMPTY
    single.hear("26.74 lb", after=9.0)
    assert single.view.step is Step.BOX_ON
    assert single.view.next_key is NextKey.TARE_HELD


# ---- typed by hand


def typed(bench: Driver, text: str) -> str | None:
    bench.now += 5.0
    return bench.code(TypeWeight, shown=parse_mass(text))


def test_that_a_box_weighed_by_hand_is_marked(bench: Driver) -> None:
    bench.station.hear("B1", LineLost(bench.now))
    assert typed(bench, "1.64 lb") is None
    assert bench.code(TareBox) is None
    assert typed(bench, "26.74 lb") is None
    assert bench.view.age_s == 0.0
    assert bench.code(CloseBox) is None
    (box,) = bench.boxes
    assert (str(box.net), box.by_hand) == ("25.10 lb", True)
    rows = day_json(bench.ledger.day_record(DAY))["boxes"]
    assert isinstance(rows, list)
    assert isinstance(rows[0], dict)
    assert rows[0]["by_hand"] is True


def test_that_a_box_begun_on_the_scale_is_gone_on_with_by_hand(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    assert bench.code(TareBox) is None
    bench.shows("15.00")
    bench.station.hear("B1", LineLost(bench.now))
    assert typed(bench, "26.79 lb") is None
    assert bench.view.say.name == "bench.changed"
    assert bench.code(ContinueBox) is None
    assert bench.view.say.name == "bench.type_again"
    assert typed(bench, "26.79 lb") is None
    assert bench.code(CloseBox) is None
    assert [(str(box.net), box.by_hand) for box in bench.boxes] == [("25.15 lb", True)]


def test_that_no_weight_is_typed_while_the_scale_is_heard(bench: Driver) -> None:
    bench.shows("0.00")
    assert bench.code(TypeWeight, shown=parse_mass("1.64 lb")) == "scale_is_heard"


def test_that_a_reading_after_a_typed_weight_is_no_zero_key(bench: Driver) -> None:
    assert typed(bench, "1.64 lb") is None
    bench.hear("0.00 lb", after=5.0)
    assert bench.view.step is Step.EMPTY
    assert bench.view.tare is None


def test_that_a_stream_is_one_whatever_the_setup_says(single: Driver) -> None:
    single.hear("1.64 lb")
    assert single.code(TareBox) is None
    for number in range(20):
        single.hear(f"{5 + number}.00 lb", State.MOVING, after=0.1, judged=True)
    single.hear("26.74 lb", State.MOVING, after=0.1, judged=True)
    assert single.ask(CloseBox).waiting


def test_that_typing_is_open_again_once_the_last_weight_is_over(single: Driver) -> None:
    single.hear("1.64 lb")
    assert single.code(TypeWeight, shown=parse_mass("1.64 lb")) == "scale_is_heard"
    single.wait(10.0)
    assert typed(single, "1.64 lb") is None
    assert single.code(TareBox) is None
