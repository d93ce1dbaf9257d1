"""Say what to think of after something that was done."""

from shedstation.domain.message import Message
from shedstation.domain.scale_fit import pack_warnings
from shedstation.station.actions import Action, Choose
from shedstation.station.shed import Shed


def advice_after(shed: Shed, action: Action) -> Message | None:
    """Give the first thing that speaks against what was just chosen to be packed, if anything."""
    if not isinstance(action, Choose):
        return None
    bench, setup = shed.bench(action.bench), shed.setup
    warnings = pack_warnings(setup.pack(action.pack), bench.setup, setup.scale_standard)
    return next(warnings, None)
