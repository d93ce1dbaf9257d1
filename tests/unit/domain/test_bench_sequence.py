import itertools

import pytest

from shedstation.domain.bench_sequence import NEXT, Saw, Step, following

PAIRS = list(itertools.product(Step, Saw))

STAYS = {
    # What each step does not answer to: a pair missing here and in the table fails below.
    Step.EMPTY: {Saw.NOTHING_ON, Saw.SAME_AGAIN, Saw.OTHER, Saw.BREAK, Saw.CLOSED,
                 Saw.CONTINUED, Saw.ABANDONED},
    Step.BOX_ON: {Saw.LOAD_ON, Saw.SAME_AGAIN, Saw.OTHER, Saw.BREAK, Saw.CLOSED, Saw.CONTINUED,
                  Saw.ABANDONED},
    Step.FILLING: {Saw.LOAD_ON, Saw.SAME_AGAIN, Saw.TARED, Saw.CONTINUED},
    Step.LIFTED: {Saw.NOTHING_ON, Saw.LOAD_ON, Saw.ZEROED, Saw.BREAK, Saw.TARED, Saw.CLOSED,
                  Saw.CONTINUED},
    Step.INTERRUPTED: {Saw.LOAD_ON, Saw.ZEROED, Saw.BREAK, Saw.TARED, Saw.CLOSED, Saw.CONTINUED},
    Step.CHANGED: {Saw.LOAD_ON, Saw.ZEROED, Saw.OTHER, Saw.TARED, Saw.CLOSED},
    Step.CLOSED: {Saw.LOAD_ON, Saw.ZEROED, Saw.SAME_AGAIN, Saw.OTHER, Saw.BREAK, Saw.TARED,
                  Saw.CLOSED, Saw.CONTINUED, Saw.ABANDONED},
}  # fmt: skip


@pytest.mark.parametrize(("step", "saw"), PAIRS, ids=lambda each: each.value)
def test_that_every_pair_of_step_and_sight_moves_on_or_stays_on_purpose(
    step: Step, saw: Saw
) -> None:
    moves = (step, saw) in NEXT
    assert moves != (saw in STAYS[step])
    assert following(step, saw) is (NEXT[step, saw] if moves else step)


def test_that_every_step_can_be_reached_from_an_empty_pan() -> None:
    reached = {Step.EMPTY}
    while True:
        more = {after for (before, _), after in NEXT.items() if before in reached}
        if more <= reached:
            break
        reached |= more
    assert reached == set(Step)


def test_that_a_closed_box_only_answers_to_lift_off() -> None:
    assert {saw for (step, saw) in NEXT if step is Step.CLOSED} == {Saw.NOTHING_ON}


def test_that_no_open_box_is_ever_closed_but_from_filling() -> None:
    assert {step for (step, saw) in NEXT if saw is Saw.CLOSED} == {Step.FILLING}
