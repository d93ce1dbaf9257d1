"""Boxes weighed again at the bench: a sample that is drawn and walked, or a box on its own."""

from dataclasses import replace
from fractions import Fraction

import pytest
from driving import Driver, Spool
from reweighing_hands import carry_through, facts, going, pack, result, start, weigh

from shedstation.bootstrap.headless import check_data
from shedstation.domain.audit import drawn
from shedstation.domain.audit_result import Verdict
from shedstation.domain.bench_sequence import Step
from shedstation.domain.facts import Kind
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.reading import Mode, State
from shedstation.station.actions import (
    CloseBox,
    CloseDay,
    Dispatch,
    EndAudit,
    ReplaceBox,
    Reweigh,
    StartScaleCheck,
    TareBox,
    VoidBox,
)
from shedstation.station.bench_view import NextKey
from shedstation.store.ledger import SqlLedger


def test_that_boxes_are_weighed_in_any_order_but_judged_as_drawn(bench: Driver) -> None:
    pack(bench, *["25.05"] * 3)
    start(bench)
    picks = going(bench).audit.picks
    for serial in reversed(picks):
        assert weigh(bench, serial, "25.00") is None
    assert tuple(each.serial for each in result(bench).boxes) == picks
    assert facts(bench, Kind.BOX_REWEIGHED)[0]["serial"] == picks[-1]


def test_that_voided_and_sent_boxes_are_not_picked(bench: Driver) -> None:
    pack(bench, *["25.05"] * 4)
    bench.ask(VoidBox, serial="B1-000001", reason="dropped")
    bench.ask(Dispatch, buyer="MKT", serials=("B1-000002",))
    assert start(bench) is None
    assert going(bench).audit.boxes == ("B1-000003", "B1-000004")


def test_that_a_picked_box_voided_since_then_is_not_weighed(bench: Driver) -> None:
    pack(bench, *["25.05"] * 2)
    start(bench)
    bench.ask(VoidBox, serial="B1-000001", reason="dropped")
    assert weigh(bench, "B1-000001", "25.00") == "already_void"


def test_that_a_box_not_to_be_found_is_replaced_by_the_next_drawn(bench: Driver) -> None:
    pack(bench, *["25.05"] * 13)
    start(bench)
    audit = going(bench).audit
    order = drawn(audit.seed, audit.boxes)
    assert bench.code(ReplaceBox, serial=order[2], reason="at the bottom of the stack") is None
    assert going(bench).audit.picks == (*order[:2], order[12], *order[3:12])
    assert facts(bench, Kind.AUDIT_BOX_REPLACED) == [
        {"audit": audit.seed, "serial": order[2], "by": order[12],
         "reason": "at the bottom of the stack"},
    ]  # fmt: skip
    assert weigh(bench, order[2], "25.00") == "audit_not_picked"
    assert bench.code(ReplaceBox, serial=order[3], reason="gone") == "audit_none_left"
    assert carry_through(bench).verdict is Verdict.PASS


def test_that_only_picked_boxes_are_weighed_and_each_once(bench: Driver) -> None:
    pack(bench, *["25.05"] * 13)
    start(bench)
    audit = going(bench).audit
    (left_over,) = set(audit.boxes) - set(audit.picks)
    assert weigh(bench, left_over, "25.00") == "audit_not_picked"
    assert weigh(bench, audit.picks[0], "25.00") is None
    assert weigh(bench, audit.picks[0], "25.00") == "audit_weighed"


def test_that_the_empty_pan_must_show_zero_before_every_box(bench: Driver) -> None:
    pack(bench, *["25.05"] * 3)
    start(bench)
    first, second, _ = going(bench).left
    assert weigh(bench, first, "25.00") is None
    assert bench.code(Reweigh, serial=second) == "reweigh_no_zero"
    bench.shows("0.02")
    bench.shows("26.64")
    assert bench.code(Reweigh, serial=second) == "reweigh_no_zero"
    assert weigh(bench, second, "25.00") is None


def test_that_a_zero_key_under_a_load_is_noticed(bench: Driver) -> None:
    pack(bench, *["25.05"] * 3)
    start(bench)
    bench.shows("26.64")
    bench.jumps("0.00")
    bench.shows("-26.64")
    bench.shows("25.60")
    assert bench.code(Reweigh, serial=going(bench).left[0]) == "reweigh_no_zero"


def test_that_after_a_break_zero_must_be_seen_again(bench: Driver) -> None:
    pack(bench, *["25.05"] * 3)
    start(bench)
    bench.shows("0.00")
    bench.lose_line()
    bench.shows("26.64")
    assert bench.code(Reweigh, serial=going(bench).left[0]) == "reweigh_no_zero"


def test_that_a_display_in_net_is_refused(bench: Driver) -> None:
    pack(bench, *["25.05"] * 3)
    start(bench)
    bench.shows("0.00")
    bench.mode = Mode.NET
    bench.shows("25.00")
    assert bench.code(Reweigh, serial=going(bench).left[0]) == "check_in_net"


def test_that_a_weight_no_drying_explains_takes_a_second_press(bench: Driver) -> None:
    pack(bench, *["25.05"] * 3)
    start(bench)
    serial = going(bench).left[0]
    assert weigh(bench, serial, "24.10") == "reweigh_odd"
    assert bench.code(Reweigh, serial=serial, confirmed=True) is None
    (weighed,) = bench.ledger.reweighs()
    assert not weighed.teaches_loss


def test_that_an_empty_box_is_no_reweigh(bench: Driver) -> None:
    pack(bench, "25.05")
    start(bench)
    assert weigh(bench, "B1-000001", "0.00") == "reweigh_light"


def test_that_a_press_waits_for_a_steady_weight(bench: Driver) -> None:
    pack(bench, *["25.05"] * 3)
    start(bench)
    bench.shows("0.00")
    bench.hear("26.60 lb", State.MOVING)
    bench.ask(Reweigh, serial=going(bench).left[0])
    assert bench.view.armed == "reweigh"
    bench.hear("26.64 lb")
    assert len(going(bench).reweighs) == 1
    bench.shows("0.00")
    bench.hear("26.60 lb", State.MOVING)
    bench.ask(Reweigh, serial=going(bench).left[0])
    bench.hear("26.60 lb", State.MOVING, after=1.0)
    bench.hear("26.60 lb", State.MOVING, after=2.1)
    assert bench.refusals[-1] == "not_steady"


def test_that_the_bench_packs_nothing_while_an_audit_goes_on(
    bench: Driver, sample_setup: Setup
) -> None:
    pack(bench, *["25.05"] * 3)
    start(bench)
    bench.shows("1.64")
    assert (bench.view.say.name, bench.view.next_key) == ("bench.audit_going", NextKey.NOTHING)
    assert bench.code(TareBox) == "audit_going"
    assert bench.code(StartScaleCheck, weights=(parse_mass("25 lb"),)) == "audit_going"
    assert start(bench) == "audit_going"
    assert bench.code(CloseDay) == "audit_going"
    with pytest.raises(Exception, match="audit_going"):
        bench.station.set_up(sample_setup, at_s=bench.now)
    bench.ask(EndAudit, reason="rain")
    bench.shows("0.00")
    bench.shows("1.64")
    assert bench.code(TareBox) is None


def test_that_an_audit_waits_for_an_open_box_and_a_check(bench: Driver) -> None:
    pack(bench, "25.05")
    bench.ask(StartScaleCheck, weights=(parse_mass("25 lb"),))
    assert start(bench) == "check_going"
    assert bench.code(Reweigh, serial="B1-000001") == "check_going"


def test_that_nothing_is_weighed_again_with_a_box_open(bench: Driver) -> None:
    pack(bench, "25.05")
    bench.shows("1.64")
    bench.ask(TareBox)
    assert bench.view.step is Step.FILLING
    assert start(bench) == "box_open"
    assert bench.code(Reweigh, serial="B1-000001") == "box_open"
    bench.shows("26.69")
    bench.ask(CloseBox)
    assert start(bench) == "not_lifted_off"


def test_that_an_audit_goes_on_after_a_stop(
    bench: Driver, ledger: SqlLedger, sample_setup: Setup
) -> None:
    pack(bench, *["25.05"] * 13)
    start(bench)
    weigh(bench, going(bench).left[0], "25.00")
    bench.ask(ReplaceBox, serial=going(bench).left[0], reason="gone")
    before = going(bench)
    assert "store.audit_going" in {each.name for each in check_data(ledger.folder).waiting}
    again = Driver(ledger, sample_setup, Spool())
    again.now = bench.now + 60.0
    assert going(again) == before
    assert again.code(TareBox) == "audit_going"
    found = carry_through(again)
    assert (len(found.boxes), found.verdict) == (12, Verdict.PASS)


def test_that_one_box_is_weighed_again_on_its_own(bench: Driver) -> None:
    pack(bench, "25.05")
    assert weigh(bench, "B1-000001", "24.95") is None
    (weighed,) = bench.ledger.reweighs()
    assert (weighed.serial, weighed.net, weighed.audit) == (
        "B1-000001",
        Mass(2495, 2, Unit.LB),
        None,
    )
    assert weighed.days < Fraction(1, 100)
    assert weigh(bench, "B1-000009", "25.00") == "unknown_serial"
    pack(bench, "25.05")
    assert len(bench.boxes) == 2


def test_that_a_zero_seen_at_another_scale_does_not_count(
    bench: Driver, sample_setup: Setup
) -> None:
    pack(bench, "25.05")
    bench.shows("0.00", times=4)
    assert bench.station.shows_whole("B1")
    finer = replace(sample_setup.benches[0], capacity=parse_mass("100.00 lb"))
    assert finer != sample_setup.benches[0]
    other = replace(sample_setup, benches=(finer, *sample_setup.benches[1:]))
    bench.station.set_up(other, at_s=bench.now)
    bench.shows("26.64", times=4)
    assert bench.code(Reweigh, serial="B1-000001") == "reweigh_no_zero"
