"""Boxes weighed again at the bench: for an audit that is drawn, walked and judged, or on their own."""

from dataclasses import replace
from datetime import date
from fractions import Fraction
from typing import Any

import pytest
from driving import DAY, Driver, Spool

from shedstation.bootstrap.headless import check_data
from shedstation.domain.audit import AuditRule, AuditSoFar, drawn
from shedstation.domain.audit_result import AuditResult, Verdict
from shedstation.domain.bench_sequence import Step
from shedstation.domain.facts import Kind
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.reading import Mode, State
from shedstation.station.actions import (
    CloseBox,
    CloseDay,
    Correct,
    Dispatch,
    EndAudit,
    OpenDay,
    ReplaceBox,
    Reweigh,
    StartAudit,
    StartScaleCheck,
    TareBox,
    VoidBox,
)
from shedstation.station.bench_view import NextKey
from shedstation.store.ledger import SqlLedger

TARE = parse_mass("1.64 lb")
A_DAY_S = 86_400.0


def pack(bench: Driver, *nets: str) -> None:
    for net in nets:
        bench.shows("0.00")
        bench.shows("1.64")
        assert bench.code(TareBox) is None
        bench.shows((parse_mass(f"{net} lb") + TARE).number())
        assert bench.code(CloseBox) is None
    bench.shows("0.00")


def start(bench: Driver, **fields: Any) -> str | None:
    wanted = {"pack": "Flat 25 lb", "rule": AuditRule.HANDBOOK_133, **fields}
    return bench.code(StartAudit, **wanted)


def going(bench: Driver) -> AuditSoFar:
    found = bench.station.audit_at("B1")
    assert found is not None
    return found


def weigh(bench: Driver, serial: str, net: str, **fields: Any) -> str | None:
    """Put a box on that holds so much fruit now, and press."""
    bench.shows("0.00")
    bench.shows((parse_mass(f"{net} lb") + TARE).number())
    return bench.code(Reweigh, serial=serial, **fields)


def carry_through(bench: Driver, **nets: str) -> AuditResult:
    """Weigh every picked box; `B1_000002="24.60"` says what one of them holds now, the others 25.02."""
    while bench.station.audit_at("B1") is not None:
        serial = going(bench).left[0]
        assert weigh(bench, serial, nets.get(serial.replace("-", "_"), "25.02")) is None
    return result(bench)


def result(bench: Driver) -> AuditResult:
    found = bench.ledger.last_audit("B1")
    assert found is not None
    return found


def facts(bench: Driver, kind: Kind) -> list[dict[str, Any]]:
    return [dict(each.payload) for each in bench.ledger.facts() if each.kind is kind]


def test_that_a_whole_small_lot_is_weighed_and_passes_with_every_figure(bench: Driver) -> None:
    pack(bench, "25.05", "25.10", "25.00")
    assert start(bench, by="noor") is None
    assert sorted(going(bench).audit.picks) == ["B1-000001", "B1-000002", "B1-000003"]
    found = carry_through(bench, B1_000001="25.01", B1_000002="25.03", B1_000003="24.97")
    assert (found.verdict, found.by_each, found.by_average) == (Verdict.PASS,) * 3
    assert (found.lot_size, found.sample, found.allowed, found.over) == (3, 3, 0, 0)
    assert {box.serial: box.error for box in found.boxes} == {
        "B1-000001": "0.01", "B1-000002": "0.03", "B1-000003": "-0.03",
    }  # fmt: skip
    # by hand: errors 0.01, 0.03, -0.03; mean 0.01/3; s = sqrt(sum of squares / 2)
    assert (found.total_error, found.average_error) == ("0.01", "0.0033")
    assert found.spread == "0.0306"
    # source: NIST Handbook 133 Table 2-1, three packages: 2.484 (memory, t(0.975; 2)/sqrt(3))
    assert (found.factor, found.error_limit) == ("2.484", "0.0759")
    assert (found.tolerance, found.unit, found.allowance) == ("0.37", Unit.LB, "0")
    assert (str(found.scale.found), found.scale.most) == ("0.01 lb", "0.061667")


def test_that_what_was_found_is_recorded_so_that_it_can_be_checked(bench: Driver) -> None:
    pack(bench, *["25.05"] * 13)
    start(bench)
    picks = going(bench).audit.picks
    carry_through(bench)
    (begun,) = facts(bench, Kind.AUDIT_STARTED)
    assert len(begun["boxes"]) == 13
    assert begun["picks"] == list(picks) == list(drawn(begun["seed"], begun["boxes"])[:12])
    weighed = facts(bench, Kind.BOX_REWEIGHED)
    assert [each["serial"] for each in weighed] == list(picks)
    assert weighed[0]["gross"] == "26.66 lb"
    assert weighed[0]["net"] == "25.02 lb"
    assert 0 <= float(weighed[0]["days"]) < 0.01
    (judged,) = facts(bench, Kind.AUDIT_JUDGED)
    assert (judged["audit"], judged["verdict"], judged["number"]) == (begun["seed"], "pass", 1)
    assert check_data(bench.ledger.folder).damage == ()


@pytest.mark.parametrize(
    ("net", "verdict"), [("24.63", Verdict.PASS), ("24.62", Verdict.FAIL)], ids=["at", "beyond"]
)
def test_that_a_box_exactly_at_the_mav_is_not_over_it(
    bench: Driver, net: str, verdict: Verdict
) -> None:
    # source: NIST Handbook 133 Table 2-5, to 31.60 lb: 0.37 lb (memory, high); over is strictly over
    pack(bench, *["25.05"] * 3)
    start(bench)
    found = carry_through(bench, B1_000002=net)
    assert found.by_each is verdict


def test_that_a_low_average_fails_the_lot(bench: Driver) -> None:
    pack(bench, *["25.05"] * 4)
    start(bench)
    nets = {f"B1_00000{n}": net for n, net in enumerate(("24.90", "24.91", "24.89", "24.90"), 1)}
    found = carry_through(bench, **nets)
    assert (found.by_each, found.by_average) == (Verdict.PASS, Verdict.FAIL)
    assert found.verdict is Verdict.FAIL


def test_that_an_allowance_for_moisture_makes_a_grey_area(bench: Driver) -> None:
    pack(bench, *["25.05"] * 4)
    start(bench, allowance="1")
    nets = {f"B1_00000{n}": net for n, net in enumerate(("24.90", "24.91", "24.89", "24.90"), 1)}
    found = carry_through(bench, **nets)
    assert (found.verdict, found.allowance) == (Verdict.GREY, "0.25")


@pytest.mark.parametrize("rule", [AuditRule.R87, AuditRule.EU])
def test_that_the_average_quantity_rules_judge_in_grams(bench: Driver, rule: AuditRule) -> None:
    pack(bench, *["25.05"] * 3)
    start(bench, rule=rule)
    found = carry_through(bench)
    # source: OIML R 87 Table 1, Directive 76/211/EEC Annex I: 150 g from 10 to 15 kg (25 lb: 11339.8 g)
    assert (found.tolerance, found.unit, found.allowance) == ("150", Unit.G, None)
    assert (found.over, found.over_twice, found.verdict) == (0, 0, Verdict.PASS)
    assert found.boxes[0].error == "9.1"
    assert found.means == 3


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


def test_that_an_audit_given_up_is_recorded_and_what_failed_stays_failed(bench: Driver) -> None:
    pack(bench, *["25.05"] * 6)
    start(bench)
    weigh(bench, going(bench).left[0], "25.00")
    assert bench.code(EndAudit, reason="rain") is None
    assert (result(bench).verdict, result(bench).why) == (Verdict.UNFINISHED, "rain")
    assert result(bench).average_error is None
    assert bench.code(EndAudit, reason="rain") == "no_audit"
    assert bench.code(ReplaceBox, serial="B1-000001", reason="gone") == "no_audit"
    start(bench)
    weigh(bench, going(bench).left[0], "24.60", confirmed=True)
    bench.ask(EndAudit, reason="enough seen")
    found = result(bench)
    assert (found.verdict, found.by_each, found.over, found.number) == (
        Verdict.FAIL, Verdict.FAIL, 1, 2,
    )  # fmt: skip


def test_that_an_audit_goes_on_after_a_stop(
    bench: Driver, ledger: SqlLedger, sample_setup: Setup
) -> None:
    pack(bench, *["25.05"] * 13)
    start(bench)
    weigh(bench, going(bench).left[0], "25.00")
    bench.ask(ReplaceBox, serial=going(bench).left[0], reason="gone")
    before = going(bench)
    again = Driver(ledger, sample_setup, Spool())
    again.now = bench.now + 60.0
    assert going(again) == before
    assert again.code(TareBox) == "audit_going"
    found = carry_through(again)
    assert (len(found.boxes), found.verdict) == (12, Verdict.PASS)


def test_that_a_scale_too_coarse_is_refused(ledger: SqlLedger, sample_setup: Setup) -> None:
    # source: NIST Handbook 133 (2020) section 2.2, read: no division over a sixth of the MAV
    for division, refusal in (("0.06 lb", None), ("0.07 lb", "audit_too_coarse")):
        first = replace(sample_setup.benches[0], division=parse_mass(division))
        bench = Driver(ledger, replace(sample_setup, benches=(first,)), Spool())
        if not bench.boxes:
            bench.open_day()
            pack(bench, "25.05")
        bench.station.set_up(replace(sample_setup, benches=(first,)), at_s=bench.now)
        bench.now += 1000.0
        assert start(bench) == refusal
        bench.ask(EndAudit, reason="seen")


def test_that_boxes_of_two_declared_weights_are_no_lot(bench: Driver) -> None:
    pack(bench, "25.05", "25.05")
    bench.ask(Correct, what="box", which=("B1-000002",), set={"pack": "Tray by weight"}, reason="x")
    assert start(bench) is None
    assert going(bench).audit.boxes == ("B1-000001",)
    bench.ask(EndAudit, reason="seen")
    bench.ask(Correct, what="box", which=("B1-000001",), set={"pack": "Tray by weight"}, reason="x")
    assert start(bench) == "audit_no_boxes"


def test_that_an_allowance_is_the_handbooks_alone(bench: Driver) -> None:
    pack(bench, "25.05")
    assert start(bench, rule=AuditRule.R87, allowance="1") == "audit_no_allowance"
    assert start(bench, rule=AuditRule.R87, allowance="0") is None


def test_that_a_lot_of_another_date_is_audited_and_teaches_the_loss(bench: Driver) -> None:
    pack(bench, *["25.05"] * 3)
    bench.ask(CloseDay)
    bench.now += 4 * A_DAY_S
    bench.ask(OpenDay, date=date(2026, 6, 22))
    bench.now = 1000.0
    assert start(bench) == "audit_no_boxes"
    assert start(bench, packed_on=DAY) is None
    carry_through(bench)
    first = bench.ledger.reweighs()[0]
    assert 3.9 < first.days < 4.1
    assert (first.cultivar, first.packed_on, first.net_then) == (
        "KENT",
        DAY,
        Mass(2505, 2, Unit.LB),
    )
    assert first.teaches_loss


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


def test_that_a_load_corrected_since_then_teaches_the_right_cultivar(bench: Driver) -> None:
    pack(bench, "25.05")
    bench.receive("L2", "UT", "KEITT")
    weigh(bench, "B1-000001", "24.95")
    bench.ask(Correct, what="box", which=("B1-000001",), set={"load": "L2"}, reason="mixed up")
    assert bench.ledger.reweighs()[0].cultivar == "KEITT"
