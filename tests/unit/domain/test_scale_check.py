"""The check with test weights: what it asks for, and what it makes of the answers."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedstation.domain.check_due import is_check_due
from shedstation.domain.check_findings import ask, failures, left_out
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.payload import from_payload, to_payload
from shedstation.domain.scale_check import Outcome, Part, Place, ScaleCheck, error_of, plan
from shedstation.domain.scale_tolerance import Stage, Standard, judged_division

CAPACITY = parse_mass("60 lb")
TEN, TWENTY_FIVE = parse_mass("10 lb"), parse_mass("25 lb")


def check_of(*weights: str, **fields: object) -> ScaleCheck:
    usual = ScaleCheck(
        standard=Standard.US,
        stage=Stage.IN_SERVICE,
        division=parse_mass("0.01 lb"),
        judged_division=parse_mass("0.01 lb"),
        capacity=CAPACITY,
        weights=tuple(map(parse_mass, weights or ("10 lb", "25 lb"))),
    )
    return replace(usual, **fields)  # type: ignore[arg-type]  # the fields of a check


def carried_out(check: ScaleCheck, off: dict[int, int] | None = None) -> ScaleCheck:
    """Take every point as a perfect scale shows it, but for some that are off by so many divisions."""
    for number in range(len(check.plan)):
        task = check.next_task
        assert task is not None
        load = task.load(Unit.LB).in_unit(check.division.unit, check.division.decimals)
        check = check.taken(load + check.division * (off or {}).get(number, 0))
    return check


def steps(check: ScaleCheck) -> list[tuple[str, str, str]]:
    return [
        (task.part.value, task.place.value, " + ".join(map(str, task.weights)))
        for task in check.plan
    ]


def test_that_two_weights_lead_up_down_over_the_pan_and_thrice() -> None:
    middle = "middle"
    assert steps(check_of()) == [
        ("zero", middle, ""),
        ("up", middle, "10 lb"), ("up", middle, "25 lb"), ("up", middle, "10 lb + 25 lb"),
        ("down", middle, "25 lb"), ("down", middle, "10 lb"),
        ("zero", middle, ""),
        ("corner", middle, "10 lb"), ("corner", "front_left", "10 lb"),
        ("corner", "front_right", "10 lb"), ("corner", "back_right", "10 lb"),
        ("corner", "back_left", "10 lb"),
        ("zero", middle, ""),
        ("repeat", middle, "25 lb"), ("zero", middle, ""),
        ("repeat", middle, "25 lb"), ("zero", middle, ""),
        ("repeat", middle, "25 lb"), ("zero", middle, ""),
    ]  # fmt: skip


def test_that_weights_together_over_the_capacity_are_never_asked_for() -> None:
    small = check_of(capacity=parse_mass("30 lb"))
    assert max(task.load(Unit.LB) for task in small.plan) == TWENTY_FIVE


def test_that_one_heavy_weight_stays_off_the_corners_and_that_is_said(sample_setup: Setup) -> None:
    check = check_of("40 lb")
    assert not check.has_corners
    names = [each.name for each in left_out(check, sample_setup.packs)]
    assert names == ["check.no_corners"]


def test_that_a_check_below_the_pack_says_what_it_does_not_cover(sample_setup: Setup) -> None:
    check = check_of("10 lb")
    (said,) = left_out(check, sample_setup.packs)
    assert said.name == "check.covers_less"
    assert said.values == {"largest": TEN, "target": parse_mass("25.00 lb")}
    assert list(left_out(check_of(), sample_setup.packs)) == []


def test_that_a_coarser_judging_division_is_said(sample_setup: Setup) -> None:
    fine = parse_mass("0.002 lb")
    check = check_of(division=fine, judged_division=judged_division(fine, CAPACITY))
    (said,) = left_out(check, sample_setup.packs)
    assert (said.name, str(said.values["judged"])) == ("check.judged_coarser", "0.010 lb")


@given(
    st.lists(st.sampled_from(["1 lb", "5 lb", "10 lb", "20 lb", "25 lb", "50 lb"]), min_size=1,
             max_size=6),
    st.sampled_from(["30 lb", "60 lb", "100 lb"]),
)  # fmt: skip
def test_that_every_plan_begins_and_ends_empty_and_never_overloads(
    texts: list[str], capacity: str
) -> None:
    most = parse_mass(capacity)
    weights = [each for each in map(parse_mass, texts) if each <= most]
    if not weights:
        return
    tasks = plan(weights, most)
    assert tasks[0].weights == tasks[-1].weights == ()
    assert all(task.load(Unit.LB) <= most for task in tasks)
    assert [task.part for task in tasks].count(Part.REPEAT) == 3
    corners = [task for task in tasks if task.part is Part.CORNER]
    assert [task.place for task in corners] in ([], list(Place))
    ups = [task.weights for task in tasks if task.part is Part.UP]
    downs = [task.weights for task in tasks if task.part is Part.DOWN]
    assert downs == ups[-2::-1]


def test_that_a_scale_that_shows_its_weights_passes() -> None:
    check = carried_out(check_of())
    assert check.next_task is None
    assert check.outcome is Outcome.PASSED
    assert list(failures(check)) == []


@pytest.mark.parametrize(
    ("point", "off", "name"),
    [
        # 10 lb are 1000 divisions: 2 allowed; 25 lb 2500: 3; 35 lb 3500: 3 (HB 44 Table 6)
        (1, 2, None), (1, 3, "check.off"), (1, -3, "check.off"),
        (2, 3, None), (2, 4, "check.off"), (3, 3, None), (3, -4, "check.off"),
        (0, 1, "check.off_empty"), (6, 1, "check.off_empty"), (18, -1, "check.off_empty"),
        (9, 2, None), (9, 3, "check.off"),
    ],
)  # fmt: skip
def test_that_each_point_is_judged_by_the_tolerance_at_its_load(
    point: int, off: int, name: str | None
) -> None:
    # source of the tolerances: NIST Handbook 44 section 2.20 Table 6; of the zero: SI/98-81 s. 16
    check = carried_out(check_of(), {point: off})
    assert {each.name for each in failures(check)} - SPREADS == ({name} if name else set())
    assert check.points[point].passed is (name is None)


SPREADS = {"check.apart_down", "check.apart_corner", "check.apart_repeat"}


@pytest.mark.parametrize(
    ("off", "name"),
    [
        ({1: 2, 5: -1}, "check.apart_down"),  # 10 lb up and down: 3 apart, 2 allowed
        ({8: 2, 10: -1}, "check.apart_corner"),  # 10 lb front left and back right: 3, 2 allowed
        ({13: 2, 17: -2}, "check.apart_repeat"),  # 25 lb again: 4 apart, 3 allowed
    ],
)
def test_that_readings_right_alone_may_lie_too_far_apart(off: dict[int, int], name: str) -> None:
    # source: SI/98-81 sections 12 and 13 (repeat, off the middle); up and down: our own rule
    check = carried_out(check_of(), off)
    assert all(point.passed for point in check.points)
    assert [each.name for each in failures(check)] == [name]
    assert check.outcome is Outcome.FAILED


def test_that_readings_exactly_the_tolerance_apart_agree() -> None:
    # source: SI/98-81 sections 12 and 13: at most the limit, the limit included
    assert carried_out(check_of(), {1: 2, 8: 2, 13: 3}).outcome is Outcome.PASSED


def test_that_a_new_scale_is_judged_twice_as_hard() -> None:
    # source: NIST Handbook 44 T.N.3.2
    check = carried_out(check_of(stage=Stage.NEW), {2: 2})
    assert str(check.points[2].tolerance) == "0.015 lb"
    assert next(each.name for each in failures(check)) == "check.off"


def test_that_the_standards_differ_where_they_differ() -> None:
    # source: HB 44 Table 6 allows 5 divisions over 4000, R 76 Table 6 allows 3
    heavy = check_of("50 lb")
    assert carried_out(heavy, {1: 5}).points[1].passed
    assert not carried_out(replace(heavy, standard=Standard.OIML), {1: 5}).points[1].passed


def test_that_a_check_given_up_is_unfinished_unless_it_had_failed() -> None:
    check = check_of().taken(parse_mass("0.00 lb")).taken(parse_mass("10.02 lb"))
    assert check.outcome is Outcome.UNFINISHED
    assert check.taken(parse_mass("25.04 lb")).outcome is Outcome.FAILED


@pytest.mark.parametrize(
    ("taken", "shown", "doubtful"),
    [
        ([], "0.00 lb", False), ([], "0.01 lb", True), ([], "10.00 lb", True),
        (["0.00 lb"], "10.30 lb", False), (["0.00 lb"], "25.00 lb", True),
        (["0.00 lb"], "0.00 lb", True), (["0.00 lb"], "9.00 lb", False),
        (["0.00 lb", "10.00 lb", "25.00 lb", "35.00 lb", "25.00 lb", "10.00 lb"], "0.02 lb", False),
        (["0.00 lb", "10.00 lb", "25.00 lb", "35.00 lb", "25.00 lb", "10.00 lb"], "10.00 lb", True),
    ],
)  # fmt: skip
def test_that_another_weight_than_asked_for_is_doubted_and_a_bad_scale_is_not(
    taken: list[str], shown: str, doubtful: bool
) -> None:
    check = check_of()
    for each in taken:
        check = check.taken(parse_mass(each))
    assert check.is_doubtful(parse_mass(shown)) is doubtful


def test_that_pound_weights_are_judged_exactly_on_a_kilogram_scale() -> None:
    # source: 10 lb are 4.5359237 kg exactly (HB 44 Appendix C); 907 divisions of 5 g: 2 allowed
    five = parse_mass("0.005 kg")
    check = check_of("10 lb", division=five, judged_division=five, capacity=parse_mass("30 kg"))
    check = check.taken(parse_mass("0.000 kg"))
    good, bad = check.taken(parse_mass("4.545 kg")), check.taken(parse_mass("4.550 kg"))
    assert (good.points[1].passed, bad.points[1].passed) == (True, False)
    assert str(good.points[1].error) == "0.00908 kg"
    assert str(good.points[1].tolerance) == "0.010 kg"


@given(st.integers(0, 10**6), st.integers(1, 10**5))
def test_that_an_error_between_units_is_never_shown_smaller_than_it_is(
    shown: int, applied: int
) -> None:
    seen, put = Mass(shown, 3, Unit.KG), Mass(applied, 2, Unit.LB)
    exact = seen.nanograms - put.nanograms
    found = error_of(seen, put)
    assert abs(found.nanograms) >= abs(exact)
    assert abs(found.nanograms) - abs(exact) < 10 * 10**6  # a hundredth of a gram in nanograms


def test_that_a_check_survives_its_payload() -> None:
    check = carried_out(check_of(certificate="set 4, 2026"), {2: 1})
    assert from_payload(ScaleCheck, to_payload(check)) == check


def test_that_the_whole_check_takes_no_further_point() -> None:
    with pytest.raises(ValueError, match="complete"):
        carried_out(check_of()).taken(parse_mass("0.00 lb"))


def test_that_the_sentence_names_weights_and_place() -> None:
    tasks = check_of().plan
    assert ask(tasks[0]).name == "check.empty_pan"
    assert (ask(tasks[1]).name, ask(tasks[3]).name) == ("check.put", "check.put_together")
    assert ask(tasks[3]).values["load"] == "10 lb + 25 lb"
    assert str(ask(tasks[10]).values["place"]) == "check.place_back_right()"


def test_that_a_check_is_due_after_its_days_and_never_with_none(sample_setup: Setup) -> None:
    # common practice, no published source: every 30 days

    assert sample_setup.scale_check_days == 30
    last = date(2026, 6, 1)
    assert not is_check_due(last, date(2026, 6, 30), 30)
    assert is_check_due(last, date(2026, 7, 1), 30)
    assert not is_check_due(last, date(2030, 1, 1), 0)
