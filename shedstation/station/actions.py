"""Name what a person can ask of the station: at the bench, in a day's folder, on the desktop."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time
from typing import Final

from shedstation.domain.audit import AuditRule
from shedstation.domain.culls import Where
from shedstation.domain.intake import Ripeness, Share, Tub
from shedstation.domain.mass import Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """What all actions carry."""

    at_s: float
    """Seconds on the same clock as the scale's readings."""

    bench: str
    by: str | None = None
    """Who does it; none means whoever is packing at that bench."""

    note: str | None = None
    line: int | None = None
    """Line of the file it was read from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenDay(Action):
    """Open a packing day."""

    date: date
    starts_at: time = time(6, 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiveLoad(Action):
    """Take in a load from a block."""

    load: str
    block: str
    cultivar: str
    picked_on: date
    weight: Mass | None = None
    tubs: tuple[Tub, ...] = ()
    estimated: bool = False
    ripeness: Ripeness | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Choose(Action):
    """Choose what the bench packs from now on."""

    load: str
    pack: str
    grade: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TareBox(Action):
    """Take the empty box on the pan as the tare."""

    confirmed: bool = False
    """Whether an unusual empty weight was confirmed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CloseBox(Action):
    """Close the box on the pan."""

    count: int | None = None
    override_reason: str | None = None
    asks: bool = False
    """Whether to ask for the count first, if the scale could not tell it; only where someone answers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ContinueBox(Action):
    """Say that the box on the pan is still the same one after a break."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AbandonBox(Action):
    """Give up the open box; its fruit go back."""

    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EnterCull(Action):
    """Enter culled fruit."""

    load: str
    defect: str
    where: Where
    count: int | None = None
    weight: Mass | None = None
    id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldFruit(Action):
    """Put fruit into a holding room to ripen."""

    load: str
    room: str
    count: int | None = None
    weight: Mass | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LookAgain(Action):
    """Look again at held fruit: ready, still to hold, or cull."""

    load: str
    room: str
    ready: Share | None = None
    still_hold: Share | None = None
    cull: Share | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckWash(Action):
    """Record a measurement of the wash water."""

    free_chlorine_ppm: str
    ph: str
    water: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadRoom(Action):
    """Record a room's temperature, `60 F` or `15.6 C`."""

    room: str
    temperature: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VoidBox(Action):
    """Strike a box from the record; it stays readable."""

    serial: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Reprint(Action):
    """Print a box's label again, marked as a copy."""

    serial: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintBatch(Action):
    """Print labels for many boxes, behind the bench's own."""

    serials: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelCameOut(Action):
    """Answer whether a label came out of the printer."""

    serial: str
    yes: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Correct(Action):
    """Correct an entry by a new fact; the old one stays readable."""

    what: str
    """`cull`, `load` or `box`."""

    which: tuple[str, ...]
    """A cull's id, a load, or serials; a range of serials is `B1-000001..B1-000012`."""

    set: Mapping[str, str | int | Mass | date | None]
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveBoxes(Action):
    """Move boxes to a room."""

    serials: tuple[str, ...]
    room: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TypeWeight(Action):
    """Enter by hand what the scale's display shows; a box weighed so is marked."""

    shown: Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class TellCup(Action):
    """Say which cup the last fruit went to or came from."""

    cup: int
    """Its number; 0 for none of them: where fruit are taken from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EmptyCups(Action):
    """Say that the fruit of cups went back where fruit are taken from."""

    cups: tuple[int, ...] = ()
    """Their numbers; none names all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckScale(Action):
    """Record a check of the scale with a test weight."""

    applied: Mass
    shown: Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class StartScaleCheck(Action):
    """Begin a check of the scale with test weights, load by load."""

    weights: tuple[Mass, ...]
    certificate: str | None = None
    """What stands on the weights or their certificate."""

    is_new: bool = False
    """Whether the scale is new or was just repaired: then it may be off by half as much."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeCheckPoint(Action):
    """Take what the scale shows as the check's next point."""

    confirmed: bool = False
    """Whether a reading far from the load was confirmed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EndScaleCheck(Action):
    """Give the check up; what was taken so far is recorded."""

    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StartAudit(Action):
    """Begin an audit: a random sample of the boxes of a pack and date is weighed again and judged."""

    pack: str
    rule: AuditRule
    packed_on: date | None = None
    """None means the open day."""

    lot: str | None = None
    """One lot of that date; none for all of them."""

    label: Mass | None = None
    """The declared weight, where labels of the pack came to differ."""

    allowance: str | None = None
    """Percent of the label that moisture may have taken, decimal text; for Handbook 133 only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reweigh(Action):
    """Take what the scale shows as the weight of a box now, for the audit or on its own."""

    serial: str
    confirmed: bool = False
    """Whether a weight that drying does not explain was confirmed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplaceBox(Action):
    """Weigh another box in place of a picked one that cannot be weighed."""

    serial: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EndAudit(Action):
    """Give the audit up; what was weighed so far is recorded."""

    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Dispatch(Action):
    """Send boxes or whole lots to a buyer."""

    buyer: str
    serials: tuple[str, ...] = ()
    lots: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ReturnBoxes(Action):
    """Take boxes back from a buyer."""

    serials: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChoosePerson(Action):
    """Say who packs at the bench until changed."""

    person: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CloseDay(Action):
    """Close the packing day."""


Press = TareBox | CloseBox | TakeCheckPoint | Reweigh
"""What needs a steady reading and waits a little for one."""

DO: Final[Mapping[str, type[Action]]] = {
    "open_day": OpenDay,
    "receive_load": ReceiveLoad,
    "choose": Choose,
    "tare": TareBox,
    "close_box": CloseBox,
    "continue_box": ContinueBox,
    "abandon_box": AbandonBox,
    "cull": EnterCull,
    "hold": HoldFruit,
    "look_again": LookAgain,
    "check_wash": CheckWash,
    "read_room": ReadRoom,
    "void_box": VoidBox,
    "reprint": Reprint,
    "print_batch": PrintBatch,
    "label_came_out": LabelCameOut,
    "correct": Correct,
    "move": MoveBoxes,
    "type_weight": TypeWeight,
    "tell_cup": TellCup,
    "empty_cups": EmptyCups,
    "check_scale": CheckScale,
    "start_scale_check": StartScaleCheck,
    "take_check_point": TakeCheckPoint,
    "end_scale_check": EndScaleCheck,
    "start_audit": StartAudit,
    "reweigh": Reweigh,
    "replace_box": ReplaceBox,
    "end_audit": EndAudit,
    "dispatch": Dispatch,
    "return": ReturnBoxes,
    "choose_person": ChoosePerson,
    "close_day": CloseDay,
}
"""Every action by the name it has in a day's folder."""

DO_NAME: Final[Mapping[type[Action], str]] = {kind: name for name, kind in DO.items()}
