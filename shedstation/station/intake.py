"""Take in loads, choose what is packed, hold fruit to ripen, and note wash, rooms and scale."""

from dataclasses import replace

from shedstation.domain.choice import Choice
from shedstation.domain.errors import Refused
from shedstation.domain.facts import Json, Kind
from shedstation.domain.intake import Load, Share
from shedstation.domain.mass import add_up
from shedstation.domain.payload import to_json, to_payload
from shedstation.station.actions import (
    Action,
    CheckScale,
    CheckWash,
    Choose,
    ChoosePerson,
    HoldFruit,
    LookAgain,
    ReadRoom,
    ReceiveLoad,
)
from shedstation.station.bench import Bench
from shedstation.station.cups import refuse_other_fruit
from shedstation.station.shed import Shed


def receive_load(shed: Shed, action: ReceiveLoad) -> None:
    """Take in a load; it gets its place among the day's lots.

    Raises:
        Refused: if the load's code is taken or it was picked after today.
    """
    if shed.ledger.load(action.load) is not None:
        raise Refused("load_exists", load=action.load)
    day = shed.open_date()
    if action.picked_on > day:
        raise Refused("picked_later", picked_on=action.picked_on, day=day)
    load = Load(
        load=action.load,
        block=action.block,
        cultivar=action.cultivar,
        picked_on=action.picked_on,
        received_on=day,
        weight=action.weight or add_up(tub.gross - tub.tare for tub in action.tubs),
        tubs=action.tubs,
        estimated=action.estimated,
        ripeness=action.ripeness,
        by=action.by or shed.bench(action.bench).person,
        at=shed.clock.utc(action.at_s),
    )
    _, new_lot = shed.lot_of(load, day)
    shed.record(Kind.LOAD_RECEIVED, action, {**to_payload(load), **new_lot})


def choose(shed: Shed, action: Choose) -> None:
    """Choose load, pack and grade for the next boxes.

    Raises:
        Refused: if a box is open at the bench, its cups hold other fruit, or the load is unknown.
    """
    bench = shed.bench(action.bench)
    if bench.step.has_open_box:
        raise Refused("box_open")
    refuse_other_fruit(shed, bench.setup.name, action.load, action.grade)
    take_choice(shed, action, bench, action)


def take_choice(shed: Shed, action: Action, bench: Bench, wanted: Choose | Choice) -> None:
    """Record what a bench packs from now on, as its load stands now, and go on with it.

    Raises:
        Refused: if the load is unknown.
    """
    load = shed.load(wanted.load)
    lot, new_lot = shed.lot_of(load, shed.open_date())
    choice = Choice(
        load=load.load,
        block=load.block,
        cultivar=load.cultivar,
        picked_on=load.picked_on,
        pack=wanted.pack,
        grade=wanted.grade,
        lot=lot.code,
    )
    at_bench = replace(action, bench=bench.setup.name)
    shed.record(Kind.LOAD_CHOSEN, at_bench, {**to_payload(choice), **new_lot})
    bench.choose(choice, shed.setup)


def choose_person(shed: Shed, action: ChoosePerson) -> None:
    """Note who packs at the bench until changed."""
    bench = shed.bench(action.bench)
    named = replace(action, by=action.by or action.person)
    shed.record(Kind.PERSON_CHOSEN, named, {"person": action.person})
    bench.person = action.person


def hold_fruit(shed: Shed, action: HoldFruit) -> None:
    """Note fruit put into a holding room.

    Raises:
        Refused: if the load is unknown.
    """
    load = shed.load(action.load)
    share = _share(Share(count=action.count, weight=action.weight))
    shed.record(Kind.FRUIT_HELD, action, {"load": load.load, "room": action.room, **share})


def look_again(shed: Shed, action: LookAgain) -> None:
    """Note what became of held fruit; fruit that is ready gets its place among the day's lots.

    Raises:
        Refused: if the load is unknown.
    """
    load = shed.load(action.load)
    new_lot: dict[str, Json] = {}
    if action.ready is not None:
        _, new_lot = shed.lot_of(load, shed.open_date())
    payload: dict[str, Json] = {"load": load.load, "room": action.room}
    for name in ("ready", "still_hold", "cull"):
        payload[name] = to_json(getattr(action, name))
    shed.record(Kind.HELD_LOOKED_AT, action, {**payload, **new_lot})


def _share(share: Share) -> dict[str, Json]:
    return to_payload(share)


def check_wash(shed: Shed, action: CheckWash) -> None:
    """Record a measurement of the wash water."""
    measured = {"free_chlorine_ppm": action.free_chlorine_ppm, "ph": action.ph}
    shed.record(Kind.WASH_CHECKED, action, {**measured, "water": action.water})


def read_room(shed: Shed, action: ReadRoom) -> None:
    """Record a room's temperature."""
    shed.record(Kind.ROOM_READ, action, {"room": action.room, "temperature": action.temperature})


def check_scale(shed: Shed, action: CheckScale) -> None:
    """Record what the scale showed under a test weight."""
    payload: dict[str, Json] = {"applied": str(action.applied), "shown": str(action.shown)}
    shed.record(Kind.SCALE_CHECKED, action, payload)
