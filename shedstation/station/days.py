"""Open and close packing days."""

from shedstation.domain.errors import Refused
from shedstation.domain.facts import Kind
from shedstation.station.actions import CloseDay, OpenDay
from shedstation.station.cups import refuse_filled
from shedstation.station.shed import Shed


def open_day(shed: Shed, action: OpenDay) -> None:
    """Open a packing day, or a closed one again; what is packed must be chosen anew.

    Boxes under yesterday's load are the commonest mistake in the shed.

    Raises:
        Refused: if a day is open.
    """
    if shed.day is not None:
        raise Refused("day_already_open", day=shed.day)
    shed.clock.begin(action.date, action.starts_at)
    payload = {
        "date": action.date.isoformat(),
        "starts_at": action.starts_at.isoformat(),
        "time_zone": shed.setup.farm.time_zone,
    }
    shed.record(Kind.DAY_OPENED, action, payload)
    shed.day = action.date
    for bench in shed.benches.values():
        bench.choose_nothing()


def close_day(shed: Shed, action: CloseDay) -> None:
    """Close the open day.

    Raises:
        Refused: if a box is open, a scale is being checked, an audit goes on or cups hold fruit at a
            bench.
    """
    day = shed.open_date()
    shed.refuse_if_busy()
    for bench in shed.benches.values():
        if bench.step.has_open_box:
            raise Refused("box_open")
    refuse_filled(shed)
    shed.record(Kind.DAY_CLOSED, action, {"date": day.isoformat()})
    shed.day = None
