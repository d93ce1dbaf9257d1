"""What lies in the box always weighs what its steps weigh together."""

from hypothesis import given
from hypothesis import strategies as st

from shedstation.domain.fruit.contents import contents
from shedstation.domain.fruit.step import FruitStep, StepKind
from shedstation.domain.mass import Mass, Unit, add_up, parse_mass


def step(change: str, at_s: float = 1.0, fruit: int | None = 1) -> FruitStep:
    """Make a step of so much."""
    mass = parse_mass(change)
    kind = StepKind.PLACED if mass.count >= 0 else StepKind.TAKEN
    return FruitStep(at_s=at_s, change=mass, fruit=fruit, sure=fruit is not None, kind=kind)


def weights(*steps: FruitStep) -> list[str]:
    """Give what lies in the box, as text."""
    return [str(each.weight) for each in contents(steps)]


def test_fruit_lie_in_the_order_they_came() -> None:
    """Three put in, three lie there."""
    assert weights(step("1.02 lb"), step("0.95 lb"), step("1.10 lb")) == [
        "1.02 lb",
        "0.95 lb",
        "1.10 lb",
    ]


def test_the_fruit_taken_out_is_the_one_that_weighs_as_much() -> None:
    """The division between its two weighings stays with the fruit before it."""
    put = [step("1.02 lb"), step("0.80 lb"), step("1.10 lb")]
    assert weights(*put, step("-0.81 lb")) == ["1.01 lb", "1.10 lb"]


def test_of_equals_the_latest_goes() -> None:
    """Who takes a fruit out takes the one on top."""
    lying = contents([step("1.00 lb", 1.0), step("1.00 lb", 2.0), step("-1.00 lb", 3.0)])
    assert [each.at_s for each in lying] == [1.0]


def test_half_of_two_leaves_one() -> None:
    """Two that went in together and one that came out of them leave one."""
    lying = contents([step("2.05 lb", fruit=2), step("-1.00 lb")])
    assert [(str(each.weight), each.fruit) for each in lying] == [("1.05 lb", 1)]


def test_what_matches_nothing_is_unsure() -> None:
    """A step down of half a fruit leaves something that is not called a fruit."""
    lying = contents([step("1.00 lb"), step("-0.50 lb")])
    assert [(str(each.weight), each.fruit) for each in lying] == [("0.50 lb", None)]


def test_a_box_tipped_out_is_empty_and_filled_anew() -> None:
    """Fruit that went out all at once lie there no more, whatever division the scale is off by."""
    put = [step("1.02 lb"), step("0.95 lb"), step("1.10 lb")]
    assert weights(*put, step("-3.07 lb", fruit=None)) == []
    again = contents([*put, step("-3.08 lb", fruit=None), step("0.98 lb")])
    assert [(str(each.weight), each.fruit) for each in again] == [("-0.01 lb", 0), ("0.98 lb", 1)]


def test_a_box_with_one_fruit_left_is_not_empty() -> None:
    """What still weighs as a fruit is no rest of the scale's."""
    put = [step("1.02 lb"), step("0.95 lb"), step("1.10 lb")]
    assert weights(*put, step("-2.05 lb", fruit=None)) != []


def test_no_fruit_is_taken_out_of_what_is_none() -> None:
    """A fruit that comes out where only a division is left makes the count unsure, never below none."""
    lying = contents([step("1.00 lb"), step("-0.99 lb"), step("-1.00 lb")])
    assert [(str(each.weight), each.fruit) for each in lying] == [("-0.99 lb", None)]


@given(st.lists(st.integers(-200, 200), max_size=40))
def test_contents_sum_to_the_steps(counts: list[int]) -> None:
    """Whatever goes in and out, no division is lost."""
    steps = [step(str(Mass(count, 2, Unit.LB))) for count in counts]
    lying = add_up(each.weight for each in contents(steps))
    assert (0 if lying is None else lying.count) == sum(counts)
