"""Audits on scales in other units, and on scales that send single readings."""

from dataclasses import replace

import pytest
from driving import Driver, Spool
from reweighing_hands import going, pack, result, start

from shedstation.domain.audit import AuditRule
from shedstation.domain.audit_result import Verdict
from shedstation.domain.farm import Sends, Setup
from shedstation.domain.mass import Unit, parse_mass
from shedstation.domain.reading import State
from shedstation.station.actions import CloseBox, Reweigh, TareBox, TypeWeight
from shedstation.store.ledger import SqlLedger


def setup_in(setup: Setup, unit: Unit, division: str, capacity: str) -> Setup:
    """Give the sample farm with its flats packed on a scale in another unit."""
    bench = replace(
        setup.benches[0], unit=unit, division=parse_mass(division), capacity=parse_mass(capacity)
    )
    return replace(setup, benches=(bench,))


def test_that_a_lot_on_a_kilogram_scale_is_judged_in_the_labels_pounds(
    ledger: SqlLedger, sample_setup: Setup
) -> None:
    setup = setup_in(sample_setup, Unit.KG, "0.005 kg", "30.000 kg")
    driver = Driver(ledger, setup, Spool())
    driver.unit = Unit.KG
    driver.open_day()
    for _ in range(3):
        driver.shows("0.000")
        driver.shows("0.745")
        assert driver.code(TareBox) is None
        driver.shows("12.125")
        assert driver.code(CloseBox) is None
    driver.shows("0.000")
    assert start(driver) is None
    while driver.station.audit_at("B1") is not None:
        driver.shows("0.000")
        driver.shows("12.085")
        assert driver.code(Reweigh, serial=going(driver).left[0]) is None
    found = result(driver)
    # by hand: 11.340 kg / 0.45359237 kg = 25.0004205 lb
    assert (found.unit, found.tolerance, found.verdict) == (Unit.LB, "0.37", Verdict.PASS)
    assert found.boxes[0].error == "0.0004"
    assert (found.average_error, found.spread) == ("0.000421", "0.000000")
    assert (str(found.scale.found), found.scale.most) == ("0.005 kg", "0.0617")


def test_that_a_pounds_and_ounces_scale_audits_a_label_in_pounds(
    ledger: SqlLedger, sample_setup: Setup
) -> None:
    setup = setup_in(sample_setup, Unit.LB_OZ, "0 lb 0.2 oz", "60 lb 0.0 oz")
    driver = Driver(ledger, setup, Spool())
    driver.open_day()
    for _ in range(2):
        for text, kind in (("1 lb 10.0 oz", TareBox), ("26 lb 11.0 oz", CloseBox)):
            driver.hear("0 lb 0.0 oz" if kind is TareBox else text, State.MOVING)
            driver.hear("0 lb 0.0 oz" if kind is TareBox else text)
            driver.hear(text, State.MOVING)
            driver.hear(text)
            driver.hear(text)
            assert driver.code(kind) is None
        driver.hear("0 lb 0.0 oz", State.MOVING)
        driver.hear("0 lb 0.0 oz")
    assert start(driver) is None
    while driver.station.audit_at("B1") is not None:
        driver.hear("0 lb 0.0 oz")
        driver.hear("26 lb 10.4 oz")
        assert driver.code(Reweigh, serial=going(driver).left[0]) is None
    found = result(driver)
    # by hand: 25 lb 0.4 oz less 25 lb is 0.025 lb
    assert [box.error for box in found.boxes] == ["0.0250", "0.0250"]
    assert found.verdict is Verdict.PASS


def test_that_boxes_of_another_unit_are_weighed_at_their_own_bench(
    ledger: SqlLedger, sample_setup: Setup
) -> None:
    driver = Driver(ledger, sample_setup, Spool())
    driver.open_day()
    pack(driver, "25.05")
    kilograms = setup_in(sample_setup, Unit.KG, "0.005 kg", "30.000 kg")
    driver.station.set_up(kilograms, at_s=driver.now)
    assert start(driver) == "reweigh_unit"
    driver.unit = Unit.KG
    driver.shows("0.000")
    driver.shows("12.085")
    assert driver.code(Reweigh, serial="B1-000001") == "reweigh_unit"


@pytest.fixture
def on_key(ledger: SqlLedger, sample_setup: Setup) -> Driver:
    """A bench whose scale sends one reading at each press of its print key, three boxes packed."""
    bench = replace(sample_setup.benches[0], sends=Sends.ON_KEY)
    driver = Driver(ledger, replace(sample_setup, benches=(bench,)), Spool())
    driver.open_day()
    for _ in range(3):
        for text, kind in (("1.64 lb", TareBox), ("26.69 lb", CloseBox)):
            driver.hear(text, after=5.0)
            assert driver.code(kind) is None
    return driver


def test_that_a_scale_with_a_print_key_needs_no_zero_but_a_reading_a_box(on_key: Driver) -> None:
    assert start(on_key, rule=AuditRule.HANDBOOK_133) is None
    first, second, _ = going(on_key).left
    on_key.hear("26.66 lb", after=5.0)
    assert on_key.code(Reweigh, serial=first) is None
    assert on_key.code(Reweigh, serial=second) is None
    assert on_key.view.armed == "reweigh"
    on_key.hear("26.65 lb", after=1.0)
    assert [str(each.net) for each in going(on_key).reweighs] == ["25.02 lb", "25.01 lb"]


def test_that_a_weight_typed_by_hand_is_marked(on_key: Driver) -> None:
    start(on_key)
    on_key.wait(60.0)
    assert on_key.code(TypeWeight, shown=parse_mass("26.66 lb")) is None
    assert on_key.code(Reweigh, serial=going(on_key).left[0]) is None
    (weighed,) = going(on_key).reweighs
    assert weighed.by_hand
    assert on_key.ledger.reweighs()[0].by_hand
