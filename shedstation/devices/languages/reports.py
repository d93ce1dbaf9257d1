"""Read the data reports of weighing devices on USB.

USB HID Point of Sale usage tables, usage page 0x8D: a report number, status, unit, a power of ten, and
16 bits of weight, low byte first.
"""

import re
from collections.abc import Mapping
from typing import Final

from shedstation.devices.languages.framing import Block
from shedstation.devices.languages.language import Language, Meaning, Wire
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import State

REPORT_BYTES: Final = 6

STATUS: Final[Mapping[int, State]] = {
    1: State.FAULT,  # fault
    2: State.STEADY,  # stable at the centre of zero
    3: State.MOVING,  # in motion
    4: State.STEADY,  # weight stable
    5: State.UNDER,  # under zero: a report has no sign, how far below is not said
    6: State.OVER,  # over the weight limit
    7: State.FAULT,  # needs calibration
    8: State.FAULT,  # needs re-zeroing
}
UNITS: Final[Mapping[int, Unit]] = {2: Unit.G, 3: Unit.KG, 11: Unit.OZ, 12: Unit.LB}
"""Units a box can be packed in; the page also knows carats, grains, tons and more."""

_REPORT: Final = re.compile(
    rb"[\x01-\xff](?P<status>[\x01-\x08])(?P<unit>[\x01-\x0c])"
    rb"(?P<exponent>[\x00-\x03\xfa-\xff])(?P<weight>.{2})",
    re.DOTALL,
)


def _report(found: re.Match[bytes]) -> Meaning | None:
    state, unit = STATUS[found["status"][0]], UNITS.get(found["unit"][0])
    if state in (State.FAULT, State.OVER, State.UNDER):
        return Meaning(None, state)
    if unit is None:
        return None
    exponent = int.from_bytes(found["exponent"], "little", signed=True)
    weight = int.from_bytes(found["weight"], "little")
    return Meaning(Mass(weight * 10 ** max(exponent, 0), max(-exponent, 0), unit), state)


REPORT_LANGUAGE: Final = Language(
    name="hid-weighing",
    framing=Block(start=b"", length=REPORT_BYTES, is_frame=_REPORT.fullmatch),
    grammar=_REPORT,
    parse=_report,
    sample=bytes([3, 4, 12, 0xFE, 0xEE, 0x09]),
    shows_its_start=True,
    is_binary=True,
    wires=frozenset({Wire.USB}),
)
