"""Audits judged by the published rules, with every figure as the record says it.

Sources: NIST Handbook 133 (2020) section 2.2 (read: a division of MAV/6 at the most, 100 divisions or
more), Tables 2-1 and 2-5 (memory, one row read); OIML R 87 Table 1, UK SI 2006/659 Schedule 2 and
Directive 76/211/EEC Annex II (read: measured to within T/5). The worked cases are our own, computed apart
from the program; the first line of each vector file says so.
"""

from dataclasses import replace
from datetime import date
from fractions import Fraction
from statistics import mean, stdev

import pytest
from vector_files import rows

from shedstation.domain.audit import (
    Audit,
    AuditRule,
    AuditSoFar,
    Fineness,
    LotKey,
    fineness,
    sample_size,
)
from shedstation.domain.audit_findings import figures
from shedstation.domain.audit_result import AuditResult, Verdict, result_of
from shedstation.domain.farm import Bench, Setup
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.reweighing import BoxReweigh
from shedstation.domain.scale_tolerance import Standard

DAY = date(2026, 6, 18)
LABEL = parse_mass("25 lb")
TARE = parse_mass("1.64 lb")
POUNDS = rows("hb133_worked_examples")
GRAMS = rows("r87_worked_examples")
MAVS = rows("hb133_mav_weight")


def judged(nets: list[Mass], label: Mass, lot: int, rule: AuditRule, tare: Mass) -> AuditResult:
    return result_of(audit_of(nets, label, lot, rule, tare))


def audit_of(nets: list[Mass], label: Mass, lot: int, rule: AuditRule, tare: Mass) -> AuditSoFar:
    picks = tuple(f"B1-{number:06d}" for number in range(len(nets)))
    audit = Audit(
        key=LotKey(pack="Flat", packed_on=DAY, label=label),
        rule=rule,
        allowance="0",
        number=1,
        seed="seed",
        boxes=tuple(f"B1-{number:06d}" for number in range(lot)),
        picks=picks,
        scale=Fineness(found=parse_mass("0.01 lb"), most="0.0617", unit=Unit.LB, is_enough=True),
    )
    reweighs = tuple(reweigh(serial, net, tare) for serial, net in zip(picks, nets, strict=True))
    return AuditSoFar(audit=audit, reweighs=reweighs)


def reweigh(serial: str, net: Mass, tare: Mass) -> BoxReweigh:
    return BoxReweigh(
        serial=serial,
        cultivar="KENT",
        packed_on=DAY,
        packed_at="2026-06-18T10:00:00.000Z",
        at="2026-06-20T10:00:00.000Z",
        gross=net + tare,
        tare=tare,
        net_then=net,
        net=net,
    )


@pytest.mark.parametrize("row", POUNDS, ids=lambda row: row["case"])
def test_that_worked_cases_of_handbook_133_come_out_as_text(row: dict[str, str]) -> None:
    nets = [
        LABEL + Mass(round(Fraction(each) * 100), 2, Unit.LB) for each in row["errors_lb"].split()
    ]
    found = judged(nets, LABEL, int(row["lot_size"]), AuditRule.HANDBOOK_133, TARE)
    assert [box.error for box in found.boxes] == row["errors_lb"].split()
    assert Fraction(found.total_error or "") == Fraction(row["total_error"])
    for said, wanted in (
        (found.average_error, row["average_error"]),
        (found.spread, row["s"]),
        (found.error_limit, row["sample_error_limit"]),
    ):
        assert float(said or "") == pytest.approx(float(wanted), abs=0.00005 + 1e-6)
    assert (found.factor, found.tolerance) == (row["scf"], row["mav_lb"])
    assert (found.over, found.allowed) == (int(row["count_over_mav"]), int(row["allowed_over_mav"]))
    assert found.by_each.value == row["individual_result"]
    assert found.by_average.value == row["average_result"]
    assert found.verdict.value == row["lot_result"]


@pytest.mark.parametrize("row", GRAMS, ids=lambda row: row["case"])
def test_that_worked_cases_of_r87_come_out_as_text(row: dict[str, str]) -> None:
    nets = nets_of(row)
    label, tare = parse_mass("11.300 kg"), parse_mass("0.740 kg")
    lot = {50: 200, 80: 1000, 125: 5000}[int(row["n"])]
    found = judged(nets, label, lot, AuditRule.R87, tare)
    assert (found.over, found.allowed) == (int(row["t1_count"]), int(row["allowed_t1"]))
    assert found.over_twice == int(row["t2_count"])
    assert (found.tolerance, found.unit, found.factor) == ("150", Unit.G, row["scf"])
    assert found.by_each.value == row["individual_result"]
    # source: OIML R 87, read: the mean error plus factor times deviation must not lie below zero
    errors = [float(net.count - 11300) for net in nets]
    stands = mean(errors) + float(row["scf"]) * stdev(errors) >= 0
    assert found.by_average is (Verdict.PASS if stands else Verdict.FAIL)
    both = (found.by_each, found.by_average)
    assert found.verdict is (Verdict.FAIL if Verdict.FAIL in both else Verdict.PASS)


@pytest.mark.parametrize("row", GRAMS, ids=lambda row: row["case"])
def test_that_each_count_is_judged_by_its_own_limit(row: dict[str, str]) -> None:
    # source: OIML R 87 Table 2 (memory): so many short by more than T, none by more than twice T
    lot = {50: 200, 80: 1000, 125: 5000}[int(row["n"])]
    label, tare = parse_mass("11.300 kg"), parse_mass("0.740 kg")
    found = judged(nets_of(row), label, lot, AuditRule.R87, tare)
    verdicts = {each.what.name: each.verdict for each in figures(found)}
    t1_stands = int(row["t1_count"]) <= int(row["allowed_t1"])
    assert verdicts["audit.figure_over_t"] is (Verdict.PASS if t1_stands else Verdict.FAIL)
    t2_stands = int(row["t2_count"]) == 0
    assert verdicts["audit.figure_over_twice"] is (Verdict.PASS if t2_stands else Verdict.FAIL)


def test_that_a_count_that_may_still_grow_is_not_called_good() -> None:
    # source: OIML R 87 Table 2 (memory): one short by more than twice T fails the lot whatever follows
    label, tare = parse_mass("11.300 kg"), parse_mass("0.740 kg")
    nets = [Mass(11302, 3, Unit.KG)] * 49 + [Mass(11300 - 301, 3, Unit.KG)]
    whole = audit_of(nets, label, 200, AuditRule.R87, tare)
    found = result_of(replace(whole, reweighs=whole.reweighs[-3:]), "it rains")
    verdicts = {each.what.name: each.verdict for each in figures(found)}
    assert verdicts["audit.figure_over_t"] is Verdict.UNFINISHED
    assert verdicts["audit.figure_over_twice"] is Verdict.FAIL
    assert found.verdict is Verdict.FAIL


def nets_of(row: dict[str, str]) -> list[Mass]:
    """Make a sample with a case's counts of short packages; the others lie 2 g above the label."""
    t1, t2, number = int(row["t1_count"]), int(row["t2_count"]), int(row["n"])
    grams = [11300 - 301] * t2 + [11300 - 151] * (t1 - t2)
    grams += [11302] * (number - len(grams))
    return [Mass(each, 3, Unit.KG) for each in grams]


@pytest.mark.parametrize(("short_by", "over"), [("150", 0), ("151", 1)])
def test_that_a_box_exactly_at_t_is_not_over_it(short_by: str, over: int) -> None:
    # source: OIML R 87 Table 1, read: 150 g from 10 to 15 kg; T1 is short by more than T
    nets = [Mass(11300, 3, Unit.KG)] * 49 + [Mass(11300 - int(short_by), 3, Unit.KG)]
    label, tare = parse_mass("11.300 kg"), parse_mass("0.740 kg")
    assert judged(nets, label, 200, AuditRule.EU, tare).over == over


@pytest.mark.parametrize("twice", ["300", "301"])
def test_that_a_box_exactly_at_twice_t_is_not_over_twice(twice: str) -> None:
    nets = [Mass(11340, 3, Unit.KG)] * 49 + [Mass(11300 - int(twice), 3, Unit.KG)]
    found = judged(nets, parse_mass("11.300 kg"), 200, AuditRule.R87, parse_mass("0.740 kg"))
    assert found.over_twice == (0 if twice == "300" else 1)
    assert found.by_each is (Verdict.PASS if twice == "300" else Verdict.FAIL)


def test_that_the_reference_test_takes_the_first_boxes_drawn_for_the_average() -> None:
    # source: UK SI 2006/659 Schedule 2, read: the mean of 30 of a lot up to 500, contents of 50
    nets = [Mass(11310, 3, Unit.KG)] * 30 + [Mass(11200, 3, Unit.KG)] * 20
    found = judged(nets, parse_mass("11.300 kg"), 200, AuditRule.EU, parse_mass("0.740 kg"))
    assert (found.means, found.average_error, found.sample) == (30, "10.00", 50)


@pytest.mark.parametrize("row", rows("hb133_table_2_1")[:17], ids=lambda row: row["lot_min"])
def test_that_as_many_boxes_are_drawn_as_table_2_1_says(row: dict[str, str]) -> None:
    if row["category"] == "A":
        for lot in {int(row["lot_min"]), int(row["lot_max"] or 5000)}:
            assert sample_size(AuditRule.HANDBOOK_133, lot) == int(row["sample_n"])


@pytest.fixture
def bench(sample_setup: Setup) -> Bench:
    return sample_setup.benches[0]


def test_that_a_division_of_a_sixth_of_the_mav_is_fine_enough(bench: Bench) -> None:
    # source: NIST Handbook 133 (2020) section 2.2, read: label 113 g, MAV 7.2 g, so 1.2 g at the most
    label = parse_mass("113 g")
    for division, enough in (("1.2 g", True), ("1.3 g", False)):
        scale = replace(bench, division=parse_mass(division), capacity=parse_mass("1300 g"))
        found = fineness(AuditRule.HANDBOOK_133, label, scale, Standard.US)
        assert (found.is_enough, found.most, found.unit) == (enough, "1.2", Unit.G)


@pytest.mark.parametrize(("capacity", "enough"), [("1.00 lb", True), ("0.99 lb", False)])
def test_that_a_scale_needs_a_hundred_divisions(bench: Bench, capacity: str, enough: bool) -> None:
    # source: NIST Handbook 133 (2020) section 2.2, read
    scale = replace(bench, division=parse_mass("0.01 lb"), capacity=parse_mass(capacity))
    found = fineness(AuditRule.HANDBOOK_133, LABEL, scale, Standard.US)
    assert found.is_enough is enough


@pytest.mark.parametrize(
    ("division", "off", "enough"), [("0.010 kg", "0.020 kg", True), ("0.020 kg", "0.040 kg", False)]
)
def test_that_a_scale_may_be_off_by_a_fifth_of_t(
    bench: Bench, division: str, off: str, enough: bool
) -> None:
    # source: UK SI 2006/659 Schedule 2, read: within T/5, 30 g at 11.34 kg
    # source: OIML R 76-1 Table 6, in service: 2 e from 500 e to 2000 e (memory, high)
    scale = replace(
        bench, unit=Unit.KG, division=parse_mass(division), capacity=parse_mass("60.000 kg")
    )
    found = fineness(AuditRule.EU, parse_mass("11.340 kg"), scale, Standard.OIML)
    assert (str(found.found), found.most, found.is_enough) == (off, "30", enough)
