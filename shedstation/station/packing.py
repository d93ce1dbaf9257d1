"""Tare, close, continue and abandon the box on the pan."""

from typing import Final

from shedstation.domain.bench_sequence import Step
from shedstation.domain.box import Box, TareBy
from shedstation.domain.errors import Refused
from shedstation.domain.facts import Draft, Json, Kind
from shedstation.domain.farm import NetOnLabel, Pack
from shedstation.domain.limits import Verdict
from shedstation.domain.mass import Mass
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

_LEAST_BOX_DIVISIONS: Final = 5
"""No box is lighter than this many divisions, whatever is confirmed: it is a leaf or a wet pan."""

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
    something = load > bench.setup.division * _LEAST_BOX_DIVISIONS
    if not usual and not (action.confirmed and something):
        raise Refused("odd_tare", weight=load, least=bench.tares.least, most=bench.tares.most)
    shed.record(Kind.BOX_TARED, action, _tared(load, TareBy.STATION, reading))
    bench.tared(reading)


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
    by_hand = reading.typed or bench.tare_typed
    box = _box(shed, bench, action, net, by_hand=by_hand)
    shed.record_all(_box_and_label(shed, action, box))
    shed.note_closed(box)
    bench.closed(box)


def _box_and_label(shed: Shed, action: Action, box: Box) -> list[Draft]:
    number = int(box.serial.rpartition("-")[2])
    closed = shed.draft(Kind.BOX_CLOSED, action, {**to_payload(box), "number": number})
    return [closed, first_label(shed, action, box)]


def _box(shed: Shed, bench: Bench, action: CloseBox, net: Mass, *, by_hand: bool) -> Box:
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
