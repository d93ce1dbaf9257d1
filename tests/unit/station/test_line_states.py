"""What the bench says of a line that cannot be read; a recorded day knows no such thing."""

import pytest
from driving import Driver

from shedstation.domain.bench_sequence import Step
from shedstation.domain.line_state import NEEDS_A_LOOK, LineChanged, LineNotice, LineState
from shedstation.domain.message import Message
from shedstation.domain.reading import LineLost
from shedstation.station.actions import TareBox

SAY = Message("line.taken", {"port": "COM3"})


def comes_to(bench: Driver, state: LineState) -> str:
    bench.station.hear("B1", LineChanged(bench.now, state, SAY))
    return bench.view.say.name


@pytest.mark.parametrize("state", list(LineState))
def test_that_an_unread_scale_sends_to_its_page_only_if_the_cable_is_not_the_reason(
    bench: Driver, state: LineState
) -> None:
    expected = "bench.scale_unread" if state in NEEDS_A_LOOK else "bench.scale_unheard"
    assert comes_to(bench, state) == expected


def test_that_an_open_box_is_kept_while_the_line_cannot_be_read(bench: Driver) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.ask(TareBox)
    bench.shows("20.00")
    bench.station.hear("B1", LineLost(bench.now, "gone"))
    assert comes_to(bench, LineState.GONE) == "bench.box_kept"
    assert comes_to(bench, LineState.TAKEN) == "bench.box_kept_look"
    comes_to(bench, LineState.LIVE)
    bench.shows("20.00")
    assert bench.view.step is Step.FILLING
    assert bench.view.say.name == "bench.add"


@pytest.mark.parametrize("state", list(LineState))
def test_that_a_state_by_itself_changes_no_weight_and_no_step(
    bench: Driver, state: LineState
) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.ask(TareBox)
    bench.shows("20.00")
    before = bench.view
    facts = len(bench.ledger.day_record(bench.station.day).happenings)  # type: ignore[arg-type]  # open
    comes_to(bench, state)
    bench.station.hear("B1", LineNotice(bench.now, SAY))
    assert bench.view == before
    assert len(bench.ledger.day_record(bench.station.day).happenings) == facts  # type: ignore[arg-type]  # open
