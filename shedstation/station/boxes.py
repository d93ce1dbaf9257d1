"""Void, move, send off and take back closed boxes; enter culls."""

from itertools import count

from shedstation.domain.audit import is_in_shed
from shedstation.domain.box import Box
from shedstation.domain.culls import Cull
from shedstation.domain.errors import Refused
from shedstation.domain.facts import Json, Kind
from shedstation.domain.payload import to_payload
from shedstation.station.actions import Dispatch, EnterCull, MoveBoxes, ReturnBoxes, VoidBox
from shedstation.station.shed import Shed, once


def void_box(shed: Shed, action: VoidBox) -> None:
    """Strike a box from the sums; it stays readable.

    Raises:
        Refused: if there is no such box, it was voided, or it is with a buyer.
    """
    box = in_the_shed(shed, action.serial, action.bench)
    shed.record(Kind.BOX_VOIDED, action, {"serial": box.serial, "reason": action.reason})


def in_the_shed(shed: Shed, text: str, bench: str) -> Box:
    """Find a box that stands in the shed.

    Raises:
        Refused: if there is no such box, it was voided, or it is with a buyer.
    """
    box = shed.standing_box(text, bench)
    if box.dispatched_to is not None:
        raise Refused("already_dispatched", serial=box.serial, buyer=box.dispatched_to)
    return box


def move_boxes(shed: Shed, action: MoveBoxes) -> None:
    """Move boxes to a room.

    Raises:
        Refused: if one of them is not in the shed; then none is moved.
    """
    boxes = once(in_the_shed(shed, text, action.bench) for text in action.serials)
    shed.record(Kind.BOXES_MOVED, action, {"serials": _serials(boxes), "room": action.room})


def _serials(boxes: list[Box]) -> list[Json]:
    return [box.serial for box in boxes]


def dispatch(shed: Shed, action: Dispatch) -> None:
    """Send boxes or whole lots to a buyer.

    Raises:
        Refused: if a box is not in the shed or a lot has no box left; then nothing is sent.
    """
    boxes = [in_the_shed(shed, text, action.bench) for text in action.serials]
    for lot in action.lots:
        boxes.extend(_left_of_lot(shed, lot))
    payload: dict[str, Json] = {"buyer": action.buyer, "serials": _serials(once(boxes))}
    shed.record(Kind.BOXES_DISPATCHED, action, payload)


def _left_of_lot(shed: Shed, lot: str) -> list[Box]:
    boxes = shed.ledger.boxes_of_lot(lot)
    left = [box for box in boxes if is_in_shed(box)]
    if not left:
        raise Refused("nothing_left_of_lot" if boxes else "unknown_lot", lot=lot)
    return left


def return_boxes(shed: Shed, action: ReturnBoxes) -> None:
    """Take boxes back from a buyer.

    Raises:
        Refused: if one of them was not sent; then none is taken back.
    """
    boxes = once(shed.box(text, action.bench) for text in action.serials)
    for box in boxes:
        if box.dispatched_to is None:
            raise Refused("not_dispatched", serial=box.serial)
    payload: dict[str, Json] = {"serials": _serials(boxes), "reason": action.reason}
    shed.record(Kind.BOXES_RETURNED, action, payload)


def _free_cull_id(shed: Shed) -> str:
    """Give the next id of the form C0001 that nobody has used by hand."""
    ids = (f"C{number:04d}" for number in count(shed.ledger.next_cull_number()))
    return next(each for each in ids if shed.ledger.cull(each) is None)


def enter_cull(shed: Shed, action: EnterCull) -> None:
    """Enter culled fruit under the lot its load has or would have.

    Raises:
        Refused: if the load is unknown or the entry's id is taken.
    """
    load = shed.load(action.load)
    cull_id = action.id or _free_cull_id(shed)
    if shed.ledger.cull(cull_id) is not None:
        raise Refused("cull_exists", id=cull_id)
    lot, new_lot = shed.lot_of(load, shed.open_date())
    cull = Cull(
        id=cull_id,
        load=load.load,
        lot=lot.code,
        block=load.block,
        cultivar=load.cultivar,
        defect=action.defect,
        count=action.count,
        weight=action.weight,
        where=action.where,
        at=shed.clock.utc(action.at_s),
        by=action.by or shed.bench(action.bench).person,
    )
    shed.record(Kind.CULL_ENTERED, action, {**to_payload(cull), **new_lot})
