"""Tare, close, continue and abandon the box on the pan."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Final

from shedstation.domain.bench_sequence import Step
from shedstation.domain.box import Box, TareBy
from shedstation.domain.errors import Refused
from shedstation.domain.facts import Draft, Json, Kind
from shedstation.domain.farm import NetOnLabel, Pack
from shedstation.domain.fruit.step import FruitStep
from shedstation.domain.fruit.told import FruitTold, fruit_told
from shedstation.domain.limits import Verdict
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.pan import LEAST_BOX_DIVISIONS
from shedstation.domain.payload import to_payload
from shedstation.domain.reading import Mode, Reading, State
from shedstation.station.actions import (
    AbandonBox,
    Action,
    CloseBox,
    ContinueBox,
    TareBox,
    TypeWeight,
)
from shedstation.station.bench import Bench
from shedstation.station.bench_view import Link
from shedstation.station.labelling import first_label
from shedstation.station.shed import Shed

_LEAST_SINGLES: Final = 3
"""From so many single fruit on their weights say how many a lump may be (our rule)."""

_CANNOT_TARE: Final = {
    Step.FILLING: "already_tared",
    Step.LIFTED: "already_tared",
    Step.INTERRUPTED: "already_tared",
    Step.CHANGED: "already_tared",
    Step.CLOSED: "not_lifted_off",
}
_CANNOT_CLOSE: Final = {
    Step.EMPTY: "not_tared",
    Step.BOX_ON: "not_tared",
    Step.LIFTED: "box_changed",
    Step.CHANGED: "box_changed",
    Step.CLOSED: "not_lifted_off",
}


def press(shed: Shed, action: TareBox | CloseBox) -> bool:
    """Tare or close now, or arm the press until the scale is steady.

    Returns:
        Whether it was done at once.

    Raises:
        Refused: if the state of the bench does not allow it.
    """
    bench = shed.bench(action.bench)
    _check(shed, bench, action)
    return bench.press(action)


def _check(shed: Shed, bench: Bench, action: TareBox | CloseBox) -> None:
    shed.refuse_if_busy(bench.setup.name)
    if bench.choice is None:
        raise Refused("not_chosen")
    if bench.has_wrong_unit and bench.reading is not None and bench.reading.mass is not None:
        shown = bench.reading.mass.unit.value
        raise Refused("wrong_unit", shown=shown, expected=bench.setup.unit.value)
    cannot = _CANNOT_TARE if isinstance(action, TareBox) else _CANNOT_CLOSE
    if bench.step in cannot:
        raise Refused(cannot[bench.step])


def do(shed: Shed, bench: Bench, action: TareBox | CloseBox, reading: Reading) -> None:
    """Carry out a tare or a close on a steady reading.

    Raises:
        Refused: if the reading or the state of the bench does not allow it.
    """
    _check(shed, bench, action)
    if isinstance(action, TareBox):
        _tare(shed, bench, action, reading)
    else:
        _close(shed, bench, action, reading)


def _tare(shed: Shed, bench: Bench, action: TareBox, reading: Reading) -> None:
    load = bench.pan.load(reading)
    if load is None:
        raise Refused("no_reading")
    if bench.pan.hides_unseen:
        raise Refused("scale_tared")
    usual = bench.tares.holds(load)
    something = load > bench.setup.division * LEAST_BOX_DIVISIONS
    if not usual and not (action.confirmed and something):
        raise Refused("odd_tare", weight=load, least=bench.tares.least, most=bench.tares.most)
    shed.record(Kind.BOX_TARED, action, _tared(load, TareBy.STATION, reading))
    bench.tared(reading)
    _follow_fruit(shed, bench, reading)


def _follow_fruit(shed: Shed, bench: Bench, reading: Reading) -> None:
    """Begin to tell the fruit of the box that was just tared, where they are told."""
    watch = shed.fruit.get(bench.setup.name)
    if watch is not None:
        watch.tared(bench, reading)
        # No reading need lie between a box that was given up and the next tare.
        shed.trimming[bench.setup.name].begin(bench)


def _tared(tare: Mass, tare_by: TareBy, reading: Reading) -> dict[str, Json]:
    payload: dict[str, Json] = {
        "tare": str(tare),
        "tare_by": tare_by.value,
        "shows": str(reading.mass),
    }
    return {**payload, "by_hand": True} if reading.typed else payload


def type_weight(shed: Shed, action: TypeWeight) -> None:
    """Take a weight that a person read off the display as a reading.

    Raises:
        Refused: if the scale itself is heard.
    """
    bench = shed.bench(action.bench)
    if bench.link is Link.LIVE and bench.reading is not None:
        raise Refused("scale_is_heard")
    before = bench.pan.steady
    mode = Mode.UNKNOWN if before is None else before.mode
    bench.hear(Reading(action.at_s, action.shown, State.STEADY, mode, typed=True))


def zeroed(shed: Shed, bench: Bench, reading: Reading) -> None:
    """Record that the scale's own tare or zero key took the empty box off."""
    if bench.pan.tare is None or bench.pan.tare_by is None or shed.day is None:
        return
    payload = _tared(bench.pan.tare, bench.pan.tare_by, reading)
    shed.record(Kind.BOX_TARED, Action(at_s=reading.at_s, bench=bench.setup.name), payload)
    _follow_fruit(shed, bench, reading)


def _close(shed: Shed, bench: Bench, action: CloseBox, reading: Reading) -> None:
    net = bench.pan.net(reading)
    if net is None or bench.limits is None:
        raise Refused("no_reading")
    if net.count <= 0:
        raise Refused("nothing_in_box", net=net)
    verdict = bench.limits.verdict(net)
    if verdict is not Verdict.ON and not action.override_reason:
        lowest, highest = bench.limits.lowest, bench.limits.highest
        raise Refused("outside_window", net=net, lowest=lowest, highest=highest)
    watch = shed.fruit.get(bench.setup.name)
    steps = None if watch is None else watch.close(net)
    told = None if steps is None else _told(shed, bench, steps)
    if watch is not None and told is not None and _must_ask(action, told):
        watch.ask(action, reading)
        return
    by_hand = reading.typed or bench.tare_typed
    box = _box(shed, bench, action, net, by_hand=by_hand, told=told)
    shed.record_all(_box_and_label(shed, action, box, steps))
    shed.note_closed(box)
    bench.closed(box)
    bench.notice = _size_doubt(bench.pack, box) or bench.notice


def close_at_lift(shed: Shed, bench: Bench, reading: Reading) -> None:
    """Close a box, uncounted, that is lifted off while its fruit are asked for: it was pressed for.

    It is closed on the last weight at rest. One that may not be closed stays open, as before.

    Args:
        shed: Keeps it.
        bench: The bench, which did not hear the reading yet.
        reading: What the scale shows now.
    """
    watch, load, tare = shed.fruit.get(bench.setup.name), bench.pan.load(reading), bench.pan.tare
    if watch is None or watch.asked is None or watch.rested is None or load is None or tare is None:
        return
    if bench.step is not Step.FILLING or load * 2 > tare:
        return  # The box still stands there, tipped out perhaps.
    with suppress(Refused):
        do(shed, bench, replace(watch.asked, asks=False), watch.rested)


def _size_doubt(pack: Pack | None, box: Box) -> Message | None:
    """Warn of a box whose fruit, each told singly, speak against the size code its pack claims."""
    told = box.fruit
    if pack is None or pack.size_code is None or told is None or not told.is_sized:
        return None
    if told.kept_code == pack.size_code or told.count != box.fruit_count:
        return None
    values = {"serial": box.serial, "code": pack.size_code}
    return Message(
        "bench.size_not_kept", {**values, "smallest": told.smallest, "largest": told.largest}
    )


def _told(shed: Shed, bench: Bench, steps: Sequence[FruitStep]) -> FruitTold:
    standard = None if bench.pack is None else bench.pack.size_standard
    return fruit_told(steps, shed.clock.utc, standard)


def _must_ask(action: CloseBox, told: FruitTold) -> bool:
    """Tell whether a person is to say the count first: it is not typed, and the scale is not sure.

    A box of which hardly any fruit was told leaves nothing to guess by: it closes as unsure at once.
    """
    open_ = action.asks and action.count is None and told.count is None
    return open_ and len(told.singles) >= _LEAST_SINGLES


def _box_and_label(
    shed: Shed, action: Action, box: Box, steps: Sequence[FruitStep] | None
) -> list[Draft]:
    number = int(box.serial.rpartition("-")[2])
    payload = {**to_payload(box), "number": number}
    if steps is not None:
        payload["fruit_steps"] = [_step(shed, each) for each in steps]
    closed = shed.draft(Kind.BOX_CLOSED, action, payload)
    return [closed, first_label(shed, action, box)]


def _step(shed: Shed, step: FruitStep) -> Json:
    """Give one step as the fact keeps it: what lies in the box at the end does not say what came out."""
    return {
        "at": shed.clock.utc(step.at_s),
        "change": str(step.change),
        "fruit": step.fruit,
        "sure": step.sure,
        "kind": step.kind.value,
    }


def _box(
    shed: Shed,
    bench: Bench,
    action: CloseBox,
    net: Mass,
    *,
    by_hand: bool,
    told: FruitTold | None,
) -> Box:
    choice, pack, tare = bench.choice, bench.pack, bench.pan.tare
    if choice is None or pack is None or tare is None or bench.pan.tare_by is None:
        raise Refused("not_tared")
    assert bench.limits is not None  # noqa: S101  # chosen together with the pack
    return Box(
        serial=shed.next_serial(bench.setup.name),
        lot=choice.lot,
        load=choice.load,
        block=choice.block,
        cultivar=choice.cultivar,
        picked_on=choice.picked_on,
        packed_on=shed.open_date(),
        pack=choice.pack,
        grade=choice.grade,
        gross=net + tare,
        tare=tare,
        tare_by=bench.pan.tare_by,
        net=net,
        net_on_label=printed_net(pack, net),
        verdict=bench.limits.verdict(net),
        override_reason=action.override_reason,
        count=action.count,
        at=shed.clock.utc(action.at_s),
        bench=bench.setup.name,
        by=_packer(bench, action),
        by_hand=by_hand,
        fruit=told,
    )


def _packer(bench: Bench, action: CloseBox) -> str | None:
    """Give who packed: an override is the lead's word on a box that someone else packed."""
    if action.override_reason:
        return bench.person or action.by
    return action.by or bench.person


def printed_net(pack: Pack, net: Mass) -> Mass:
    """Give the mass a pack's label prints for a net mass."""
    return pack.label_net if pack.net_on_label is NetOnLabel.DECLARED else net


def continue_box(shed: Shed, action: ContinueBox) -> None:
    """Go on with the box on the pan after a change, because a person says it is the same.

    Raises:
        Refused: if nothing has changed, if nobody can tell what the scale hides, or if it shows
            less than the empty box.
    """
    bench = shed.bench(action.bench)
    reading = bench.reading
    if bench.step is not Step.CHANGED:
        raise Refused("nothing_changed")
    if reading is None or not bench.freshness.allows(reading, action.at_s):
        raise Refused("not_steady")
    load = bench.pan.load(reading)
    if load is None or bench.pan.tare is None or bench.has_wrong_unit:
        raise Refused("wrong_unit", shown=reading.mass, expected=bench.setup.unit.value)
    if not bench.pan.knows_hidden(reading):
        raise Refused("weight_unproven", shown=reading.mass)
    if load < bench.pan.tare:
        raise Refused("lighter_than_box", weight=load, tare=bench.pan.tare)
    bench.continued(reading)
    bench.freshness.use(reading)


def abandon_box(shed: Shed, action: AbandonBox) -> None:
    """Give up the open box.

    Raises:
        Refused: if no box is open.
    """
    bench = shed.bench(action.bench)
    if not bench.step.has_open_box:
        raise Refused("no_open_box")
    tare = None if bench.pan.tare is None else str(bench.pan.tare)
    shed.record(Kind.BOX_ABANDONED, action, {"tare": tare, "reason": action.reason})
    bench.abandoned()
