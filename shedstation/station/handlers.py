"""Say what carries out each action."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from shedstation.domain.reading import Reading
from shedstation.station import (
    auditing,
    boxes,
    corrections,
    cups,
    days,
    intake,
    labelling,
    packing,
    scale_checking,
)
from shedstation.station.actions import (
    AbandonBox,
    Action,
    CheckScale,
    CheckWash,
    Choose,
    ChoosePerson,
    CloseDay,
    ContinueBox,
    Correct,
    Dispatch,
    EmptyCups,
    EndAudit,
    EndScaleCheck,
    EnterCull,
    HoldFruit,
    LabelCameOut,
    LookAgain,
    MoveBoxes,
    OpenDay,
    Press,
    PrintBatch,
    ReadRoom,
    ReceiveLoad,
    ReplaceBox,
    Reprint,
    ReturnBoxes,
    Reweigh,
    StartAudit,
    StartScaleCheck,
    TakeCheckPoint,
    TellCup,
    TypeWeight,
    VoidBox,
)
from shedstation.station.bench import Bench
from shedstation.station.shed import Shed

Handler = Callable[[Shed, Any], None]

HANDLERS: Final[Mapping[type[Action], Handler]] = {
    OpenDay: days.open_day,
    CloseDay: days.close_day,
    ReceiveLoad: intake.receive_load,
    Choose: intake.choose,
    ChoosePerson: intake.choose_person,
    HoldFruit: intake.hold_fruit,
    LookAgain: intake.look_again,
    CheckWash: intake.check_wash,
    ReadRoom: intake.read_room,
    CheckScale: intake.check_scale,
    StartScaleCheck: scale_checking.start_check,
    EndScaleCheck: scale_checking.end_check,
    StartAudit: auditing.start_audit,
    ReplaceBox: auditing.replace_box,
    EndAudit: auditing.end_audit,
    ContinueBox: packing.continue_box,
    TypeWeight: packing.type_weight,
    AbandonBox: packing.abandon_box,
    TellCup: cups.tell_cup,
    EmptyCups: cups.empty_cups,
    EnterCull: boxes.enter_cull,
    VoidBox: boxes.void_box,
    MoveBoxes: boxes.move_boxes,
    Dispatch: boxes.dispatch,
    ReturnBoxes: boxes.return_boxes,
    Correct: corrections.correct,
    Reprint: labelling.reprint,
    PrintBatch: labelling.print_batch,
    LabelCameOut: labelling.label_came_out,
}
"""What carries out each action; tare and close wait for the scale and have their own way."""


def press(shed: Shed, action: Press) -> bool:
    """Carry out what needs a steady reading now, or arm it; tell whether it was done."""
    if isinstance(action, TakeCheckPoint):
        return scale_checking.press(shed, action)
    if isinstance(action, Reweigh):
        return auditing.press(shed, action)
    return packing.press(shed, action)


def do_press(shed: Shed, bench: Bench, action: Press, reading: Reading) -> None:
    """Carry out a press on a steady reading."""
    if isinstance(action, TakeCheckPoint):
        scale_checking.take(shed, bench, action, reading)
    elif isinstance(action, Reweigh):
        auditing.take(shed, bench, action, reading)
    else:
        packing.do(shed, bench, action, reading)
