"""Carry a check with test weights out at a bench, and record it when it is complete or given up."""

from dataclasses import replace

from shedstation.domain.bench_sequence import Step
from shedstation.domain.errors import Refused
from shedstation.domain.facts import Json, Kind
from shedstation.domain.mass import Mass
from shedstation.domain.payload import to_payload
from shedstation.domain.reading import Reading
from shedstation.domain.scale_check import MOST_WEIGHTS, Outcome, ScaleCheck
from shedstation.domain.scale_tolerance import Stage, judged_division
from shedstation.station.actions import Action, EndScaleCheck, StartScaleCheck, TakeCheckPoint
from shedstation.station.bench import Bench, whole_weight
from shedstation.station.check_at_bench import CheckAtBench
from shedstation.station.shed import Shed


def start_check(shed: Shed, action: StartScaleCheck) -> None:
    """Begin a check.

    Raises:
        Refused: if the bench is busy, or the weights are not usable on its scale.
    """
    bench = shed.bench(action.bench)
    shed.refuse_if_busy(action.bench)
    if bench.step.has_open_box:
        raise Refused("box_open")
    if bench.step is Step.CLOSED:
        raise Refused("not_lifted_off")
    _check_weights(action.weights, bench.setup.capacity)
    setup = bench.setup
    check = ScaleCheck(
        standard=shed.setup.scale_standard,
        stage=Stage.NEW if action.is_new else Stage.IN_SERVICE,
        division=setup.division,
        judged_division=judged_division(setup.division, setup.capacity),
        capacity=setup.capacity,
        weights=action.weights,
        certificate=action.certificate,
    )
    shed.checks[action.bench] = CheckAtBench(check, action.by)
    bench.is_checked = True


def _check_weights(weights: tuple[Mass, ...], capacity: Mass) -> None:
    if not 0 < len(weights) <= MOST_WEIGHTS:
        raise Refused("check_weights", most=MOST_WEIGHTS)
    if len({each.unit for each in weights}) > 1:
        raise Refused("check_units")
    heaviest = max(weights)
    if heaviest > capacity:
        raise Refused("check_too_heavy", weight=heaviest, capacity=capacity)


def press(shed: Shed, action: TakeCheckPoint) -> bool:
    """Take a point now, or arm the press until the scale is steady.

    Returns:
        Whether it was done at once.

    Raises:
        Refused: if no check is going on, or the reading is no point of it.
    """
    _going(shed, action)
    return shed.bench(action.bench).press(action)


def _going(shed: Shed, action: Action) -> CheckAtBench:
    found = shed.checks.get(action.bench)
    if found is None:
        raise Refused("no_check")
    return found


def take(shed: Shed, bench: Bench, action: TakeCheckPoint, reading: Reading) -> None:
    """Take a steady reading as the next point; the last one records the check.

    Raises:
        Refused: if the reading cannot be the point that is asked for.
    """
    at_bench = _going(shed, action)
    shown = whole_weight(bench, reading)
    if at_bench.must_move:
        raise Refused("check_not_moved", shown=shown)
    if not action.confirmed and at_bench.check.is_doubtful(shown):
        raise _doubt(at_bench.check, shown)
    check = at_bench.check.taken(shown, typed=reading.typed)
    if check.next_task is None:
        _record(shed, bench, action, check)
    else:
        at_bench.go_on(check, shown)


def _doubt(check: ScaleCheck, shown: Mass) -> Refused:
    task = check.next_task
    if task is None or not task.weights:
        return Refused("check_not_empty", shown=shown)
    return Refused("check_other_load", shown=shown, load=task.load(shown.unit))


def end_check(shed: Shed, action: EndScaleCheck) -> None:
    """Give the check up; if points were taken, they are recorded, so that a failure stays known.

    Raises:
        Refused: if no check is going on.
    """
    check = _going(shed, action).check
    if check.points:
        noted = replace(action, note=action.reason)
        _record(shed, shed.bench(action.bench), noted, check)
    else:
        _over(shed, action.bench)


def _over(shed: Shed, bench: str) -> None:
    del shed.checks[bench]
    shed.bench(bench).check_over()


def _record(shed: Shed, bench: Bench, action: Action, check: ScaleCheck) -> None:
    outcome = check.outcome
    by = action.by or shed.checks[action.bench].by
    payload: dict[str, Json] = {**to_payload(check), "outcome": outcome.value}
    shed.record(Kind.SCALE_TESTED, replace(action, by=by), payload)
    _over(shed, action.bench)
    if outcome is not Outcome.UNFINISHED:
        bench.failed_check = outcome is Outcome.FAILED
