from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedstation.domain.backup_due import is_overdue
from shedstation.domain.chain import canonical, content, derived_uid, fits, link
from shedstation.domain.facts import Draft, Fact, Kind
from shedstation.domain.farm import Bench, Setup
from shedstation.domain.limits import Verdict, limits
from shedstation.domain.lot import label_code, lot_code, parse_label_code, serial
from shedstation.domain.mass import parse_mass
from shedstation.domain.pace import Pace
from shedstation.domain.payload import from_payload, to_payload
from shedstation.domain.pin import fits_pin, pin_hash
from shedstation.domain.reading import Reading, State
from shedstation.domain.steadiness import SteadinessJudge


def test_that_limits_fall_on_divisions_inside_the_window(sample_setup: Setup) -> None:
    pack = replace(sample_setup.packs[0], target=parse_mass("25.003 lb"), over=parse_mass("0.3 lb"))
    found = limits(pack, parse_mass("0.05 lb"))
    assert (str(found.lowest), str(found.highest)) == ("25.05 lb", "25.30 lb")


@pytest.mark.parametrize(
    ("net", "verdict"),
    [
        ("24.99 lb", Verdict.UNDER),
        ("25.00 lb", Verdict.ON),
        ("25.30 lb", Verdict.ON),
        ("25.31 lb", Verdict.OVER),
    ],
)
def test_that_a_box_exactly_on_a_limit_is_inside(
    sample_setup: Setup, net: str, verdict: Verdict
) -> None:
    found = limits(sample_setup.packs[0], parse_mass("0.01 lb"))
    assert found.verdict(parse_mass(net)) is verdict


def test_that_a_pound_pack_is_judged_exactly_on_a_kilogram_scale(sample_setup: Setup) -> None:
    found = limits(sample_setup.packs[0], parse_mass("0.005 kg"))
    assert (str(found.lowest), str(found.highest)) == ("11.340 kg", "11.475 kg")


def test_that_a_lot_code_is_year_day_and_order() -> None:
    assert lot_code(date(2026, 6, 18), 1) == "616901"
    assert lot_code(date(2030, 12, 31), 99) == "036599"
    with pytest.raises(ValueError, match="expected 1 to 99"):
        lot_code(date(2026, 6, 18), 100)


@given(st.integers(1, 999_999), st.integers(1, 9))
def test_that_a_label_code_says_serial_and_revision(number: int, revision: int) -> None:
    name = serial("B1", number)
    assert parse_label_code(label_code(name, revision)) == (name, revision)


def test_that_a_serial_may_be_typed_in_small_letters() -> None:
    assert parse_label_code("b1-000001/2") == ("B1-000001", 2)


@pytest.mark.parametrize("text", ["", "b-000001x", "B1-1", "B1_000001", "B1-000001/", "=B1-000001"])
def test_that_what_is_no_serial_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="not a serial"):
        parse_label_code(text)


def test_that_a_changed_fact_no_longer_fits_its_chain() -> None:
    draft = Draft(kind=Kind.DAY_OPENED, bench="B1", at="2026-06-18T10:00:00.000Z", by=None,
                  payload={"date": "2026-06-18"})  # fmt: skip
    uid = derived_uid(draft, 1)
    fact = Fact(
        kind=draft.kind,
        bench=draft.bench,
        at=draft.at,
        by=draft.by,
        payload=draft.payload,
        uid=uid,
        seq=1,
        hash="",
    )
    whole = replace(fact, hash=link("0" * 64, content(fact, uid, 1)))
    assert fits(whole, "0" * 64)
    assert not fits(replace(whole, payload={"date": "2026-06-19"}), "0" * 64)
    assert not fits(whole, "1" * 64)


def test_that_no_float_can_be_recorded() -> None:
    with pytest.raises(TypeError, match="float"):
        canonical({"a": [{"b": 1.5}]})


def test_that_a_whole_setup_survives_its_payload(sample_setup: Setup) -> None:
    assert from_payload(Setup, to_payload(sample_setup)) == sample_setup


def test_that_silence_is_three_periods_but_at_least_a_second() -> None:
    fast, slow = Pace(), Pace()
    for number in range(10):
        fast.hear(number * 0.1)
        slow.hear(number * 2.0)
    assert not fast.is_silent(0.9 + 1.0)
    assert fast.is_silent(0.9 + 1.01)
    assert not slow.is_silent(18.0 + 6.0)
    assert slow.is_silent(18.0 + 6.01)


def _readings(judge: SteadinessJudge, values: list[tuple[float, str]]) -> list[State]:
    return [judge.judge(Reading(at, parse_mass(text), State.UNKNOWN)).state for at, text in values]


def test_that_half_a_second_within_a_division_is_steady() -> None:
    states = _readings(
        SteadinessJudge(parse_mass("0.1 oz")),
        [(0.0, "10.0 oz"), (0.2, "10.1 oz"), (0.4, "10.0 oz"), (0.5, "10.1 oz"), (0.6, "10.2 oz")],
    )
    assert states == [State.MOVING] * 3 + [State.STEADY, State.MOVING]


def test_that_two_readings_or_a_gap_are_never_steady() -> None:
    division = parse_mass("0.1 oz")
    assert (
        _readings(SteadinessJudge(division), [(0.0, "10.0 oz"), (0.9, "10.0 oz")])[-1]
        is State.MOVING
    )
    gap = [(0.0, "10.0 oz"), (0.3, "10.0 oz"), (1.4, "10.0 oz"), (1.6, "10.0 oz")]
    assert _readings(SteadinessJudge(division), gap)[-1] is State.MOVING


def test_that_a_judged_reading_says_so() -> None:
    judged = SteadinessJudge(None).judged(Reading(0.0, parse_mass("1 lb"), State.UNKNOWN))
    assert isinstance(judged, Reading)
    assert judged.judged
    marked = Reading(0.0, parse_mass("1 lb"), State.STEADY)
    assert SteadinessJudge(None).judged(marked) is marked


@pytest.mark.parametrize(
    ("last", "today", "overdue"),
    [
        (date(2026, 6, 18), date(2026, 6, 22), False),  # Thursday to Monday: two working days
        (date(2026, 6, 18), date(2026, 6, 23), True),
        (date(2026, 6, 19), date(2026, 6, 21), False),  # over a weekend
    ],
)
def test_that_a_backup_is_overdue_after_two_working_days(
    last: date, today: date, overdue: bool
) -> None:
    assert is_overdue(last, today) is overdue


def test_that_only_the_right_pin_fits() -> None:
    kept = pin_hash("2468", "ab12")
    assert "2468" not in kept
    assert fits_pin("2468", kept)
    assert not fits_pin("2469", kept)


def test_that_a_field_that_came_later_leaves_older_facts_as_they_were(sample_setup: Setup) -> None:
    bench = sample_setup.benches[0]
    assert "bits" not in to_payload(bench)
    seven = replace(bench, bits="7E1")
    assert to_payload(seven)["bits"] == "7E1"
    assert from_payload(Bench, to_payload(seven)) == seven
