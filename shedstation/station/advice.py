"""Say what to think of after something that was done."""

from shedstation.domain.check_due import is_check_due
from shedstation.domain.message import Message
from shedstation.domain.scale_fit import pack_warnings
from shedstation.station.actions import Action, Choose, OpenDay
from shedstation.station.shed import Shed


def advice_after(shed: Shed, action: Action) -> Message | None:
    """Give the first thing to think of, if anything.

    After a pack was chosen: what speaks against packing it on this scale. After a day was opened:
    that the scale is to be checked again.
    """
    match action:
        case Choose():
            pack, bench = shed.setup.pack(action.pack), shed.bench(action.bench).setup
            return next(pack_warnings(pack, bench, shed.setup.scale_standard), None)
        case OpenDay():
            return _check_due(shed, action)
        case _:
            return None


def _check_due(shed: Shed, action: OpenDay) -> Message | None:
    last = shed.ledger.last_check(action.bench)
    if last is None or not is_check_due(last.day, action.date, shed.setup.scale_check_days):
        return None
    return Message("bench.scale_check_due", {"day": last.day})
