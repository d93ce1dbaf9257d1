"""Audits judged: every figure, limits at the limit, and what reweighs teach."""

from dataclasses import replace
from datetime import date

import pytest
from driving import DAY, Driver, Spool
from reweighing_hands import carry_through, facts, going, pack, result, start, weigh

from shedstation.bootstrap.headless import check_data
from shedstation.domain.audit import AuditRule, drawn
from shedstation.domain.audit_findings import verdict_said
from shedstation.domain.audit_result import Verdict
from shedstation.domain.facts import Kind
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.station.actions import (
    CloseDay,
    Correct,
    EndAudit,
    OpenDay,
    ReplaceBox,
)
from shedstation.store.ledger import SqlLedger
from shedstation.words import Words

A_DAY_S = 86_400.0


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
    assert (str(found.scale.found), found.scale.most) == ("0.01 lb", "0.0617")


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


def test_that_a_single_box_stands_by_its_own_error(bench: Driver) -> None:
    pack(bench, "25.05")
    start(bench)
    found = carry_through(bench, B1_000001="24.80")
    assert (found.verdict, found.average_error, found.boxes[0].error) == (
        Verdict.PASS,
        None,
        "-0.20",
    )
    said = Words("en").say(verdict_said(found))
    assert said == "The lot passes: no box is short by more than 0.37 lb."


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


@pytest.mark.parametrize(
    ("net", "verdict"), [("24.38", Verdict.GREY), ("24.37", Verdict.FAIL)], ids=["at", "beyond"]
)
def test_that_the_allowance_is_added_to_the_mav(bench: Driver, net: str, verdict: Verdict) -> None:
    # source: NIST Handbook 133 section 2.3.8 (memory, medium): MAV 0.37 lb and 1 % of 25 lb are 0.62 lb
    pack(bench, *["25.30"] * 12)
    start(bench, allowance="1")
    for serial in going(bench).left:
        shown = net if serial == "B1-000002" else "25.30"
        assert weigh(bench, serial, shown, confirmed=True) is None
    assert (result(bench).by_each, result(bench).over) == (verdict, 1)


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


def test_that_a_load_corrected_since_then_teaches_the_right_cultivar(bench: Driver) -> None:
    pack(bench, "25.05")
    bench.receive("L2", "UT", "KEITT")
    weigh(bench, "B1-000001", "24.95")
    bench.ask(Correct, what="box", which=("B1-000001",), set={"load": "L2"}, reason="mixed up")
    assert bench.ledger.reweighs()[0].cultivar == "KEITT"
