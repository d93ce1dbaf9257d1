"""What stands in the cups of the trim tray, and when it may be used."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from shedstation.domain.mass import parse_mass
from shedstation.domain.trim_tray import CupFruit, TrimTray, empty_tray

LOAD, GRADE = "L7", "one"


def fruit(weight: str, since_s: float = 0.0, load: str = LOAD, grade: str = GRADE) -> CupFruit:
    return CupFruit(weight=parse_mass(weight), since_s=since_s, load=load, grade=grade)


def usable(tray: TrimTray, at_s: float) -> dict[int, str]:
    return {cup: str(weight) for cup, weight in tray.usable(at_s, LOAD, GRADE).items()}


@pytest.mark.parametrize("cups", [3, 6])
def test_that_a_new_tray_is_empty(cups: int) -> None:
    tray = empty_tray(cups)
    assert tray.free == tuple(range(1, cups + 1))
    assert usable(tray, 0.0) == {}
    assert tray.held(LOAD, GRADE) is None


@pytest.mark.parametrize("cups", [0, 2, 7])
def test_that_three_to_six_cups_are_a_tray(cups: int) -> None:
    with pytest.raises(ValueError, match=f"{cups} cups: expected 3 to 6"):
        empty_tray(cups)


def test_that_fruit_go_in_and_out_and_no_other_cup_changes() -> None:
    one = empty_tray(3).put(2, fruit("1.02 lb"))
    both = one.put(3, fruit("0.88 lb"))
    assert (one.free, both.free) == ((1, 3), (1,))
    assert both.take(2).cups == (None, None, fruit("0.88 lb"))
    assert usable(both, 1.0) == {2: "1.02 lb", 3: "0.88 lb"}


def test_that_a_cup_holds_one_fruit() -> None:
    tray = empty_tray(3).put(2, fruit("1.02 lb"))
    with pytest.raises(ValueError, match=r"Cup 2 holds a fruit of 1\.02 lb: expected an empty cup"):
        tray.put(2, fruit("0.88 lb"))
    with pytest.raises(ValueError, match="Cup 1 is empty"):
        tray.take(1)


@pytest.mark.parametrize("cup", [-1, 0, 4])
def test_that_only_cups_that_are_there_are_named(cup: int) -> None:
    tray = empty_tray(3).put(1, fruit("1.02 lb"))
    changes: tuple[Callable[[], TrimTray], ...] = (
        lambda: tray.put(cup, fruit("1.00 lb")),
        lambda: tray.take(cup),
        lambda: tray.correct(1, cup),
        lambda: tray.correct(cup, 1),
    )
    for change in changes:
        with pytest.raises(ValueError, match=f"no cup {cup}: expected a cup from 1 to 3"):
            change()


def test_that_a_fruit_told_in_the_wrong_cup_is_corrected() -> None:
    tray = empty_tray(3).put(1, fruit("1.02 lb")).put(3, fruit("0.88 lb"))
    assert usable(tray.correct(1, 2), 1.0) == {2: "1.02 lb", 3: "0.88 lb"}
    assert usable(tray.correct(1, 3), 1.0) == {1: "0.88 lb", 3: "1.02 lb"}
    assert tray.correct(1, 1) == tray
    with pytest.raises(ValueError, match="Cup 2 is empty"):
        tray.correct(2, 1)


def test_that_a_fruit_is_used_for_thirty_minutes_to_the_second() -> None:
    tray = empty_tray(3).put(1, fruit("1.02 lb", since_s=100.0))
    assert usable(tray, 1900.0) == {1: "1.02 lb"}
    assert usable(tray, 1900.1) == {}
    assert tray.free == (2, 3)


def test_that_nothing_weighed_up_to_a_zero_fault_is_used() -> None:
    tray = empty_tray(3).put(1, fruit("1.02 lb", since_s=10.0)).doubt(10.0)
    assert usable(tray, 11.0) == {}
    assert usable(tray.put(2, fruit("0.88 lb", since_s=12.0)), 13.0) == {2: "0.88 lb"}


@pytest.mark.parametrize("other", [{"load": "L8"}, {"grade": "two"}])
def test_that_another_load_or_grade_is_not_used_and_must_be_emptied(other: dict[str, str]) -> None:
    strange = replace(fruit("0.88 lb"), **other)  # type: ignore[arg-type]  # both fields are texts
    tray = empty_tray(3).put(1, fruit("1.02 lb")).put(2, strange)
    assert usable(tray, 1.0) == {1: "1.02 lb"}
    assert tray.to_empty(LOAD, GRADE) == (2,)
    assert tray.to_empty(strange.load, strange.grade) == (1,)
    assert empty_tray(3).to_empty(LOAD, GRADE) == ()


def test_that_all_that_lies_in_the_cups_counts_for_its_load_and_grade() -> None:
    tray = empty_tray(4).put(1, fruit("1.02 lb")).put(2, fruit("0.88 lb")).doubt(5.0)
    held = tray.put(3, fruit("1.11 lb", load="L8")).held(LOAD, GRADE)
    assert str(held) == "1.90 lb"
