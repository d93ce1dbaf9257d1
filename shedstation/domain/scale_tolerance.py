"""Say by how much a class III scale may be off, and which scales can be of that class.

Sources: NIST Handbook 44 section 2.20, Tables 3, 6 and 8, T.N.3.1 and T.N.3.2; OIML R 76-1:2006,
Tables 3 and 6 and 3.5. A scale of class III without an auxiliary device has one division, d = e.
"""

from collections.abc import Mapping
from enum import Enum
from fractions import Fraction
from typing import Final

from shedstation.domain.mass import Mass, Unit, parse_mass


class Standard(Enum):
    """Whose rules a bench scale is checked by."""

    US = "us"
    """NIST Handbook 44: maintenance and acceptance tolerances."""

    OIML = "oiml"
    """OIML R 76: maximum permissible errors in service and on initial verification."""


class Stage(Enum):
    """Where a scale stands in its life; a new or repaired one may be off by half as much."""

    IN_SERVICE = "in_service"
    NEW = "new"


MOST_DIVISIONS: Final = 10_000
"""No class III scale has more divisions (HB 44 Table 3, R 76 Table 3)."""

LEAST_LOAD_DIVISIONS: Final = 20
"""Nothing lighter is to be weighed for trade (HB 44 Table 8, R 76 Table 3; both from memory)."""

_IN_SERVICE: Final[Mapping[Standard, tuple[tuple[int, int], ...]]] = {
    Standard.US: ((500, 1), (2000, 2), (4000, 3), (MOST_DIVISIONS, 5)),
    Standard.OIML: ((500, 1), (2000, 2), (MOST_DIVISIONS, 3)),
}
"""Up to which load, in divisions, a scale in service may be off by how many divisions."""

_NEXT_STEP: Final = {"1": (2, 1), "2": (5, 2), "5": (2, 1)}

_FINEST: Final = {Unit.G: "0.1 g", Unit.LB: "0.0002 lb", Unit.OZ: "0.005 oz"}
_COARSE: Final = {Unit.G: "5 g", Unit.LB: "0.01 lb", Unit.OZ: "0.25 oz"}
_ROW_OF: Final = {Unit.KG: Unit.G, Unit.LB_OZ: Unit.OZ}
_LEAST_FINE, _LEAST_COARSE = 100, 500


def tolerance(
    load: Mass, division: Mass, standard: Standard, stage: Stage = Stage.IN_SERVICE
) -> Mass:
    """Give by how much a scale may be off at a load, exactly, in the unit of its division.

    Beyond the table's end its last row stands. New scales have half the tolerance of those in
    service (HB 44 T.N.3.2; R 76 3.5.2 says it the other way round).
    """
    divisions = _in_service_divisions(load, division, standard)
    if stage is Stage.IN_SERVICE:
        return division * divisions
    return half(division * divisions)


def _in_service_divisions(load: Mass, division: Mass, standard: Standard) -> int:
    rows = _IN_SERVICE[standard]
    found = (allowed for most, allowed in rows if abs(load) <= division * most)
    return next(found, rows[-1][1])


def half(mass: Mass) -> Mass:
    """Give half of a mass, exactly."""
    return Mass(mass.count * 5, mass.decimals + 1, mass.unit)


def zero_tolerance(division: Mass) -> Mass:
    """Give by how much an empty scale may be off after a load: half a division.

    Source: SI/98-81 section 16; R 76-1:2006 3.9.4.2 says the same, from memory. A shown zero is
    within half a division (HB 44 S.1.1.1).
    """
    return half(division)


def least_load(division: Mass) -> Mass:
    """Give the lightest load that is to be weighed for trade."""
    return division * LEAST_LOAD_DIVISIONS


def divisions_of(capacity: Mass, division: Mass) -> Fraction:
    """Give how many divisions a scale has."""
    return capacity.nanograms / division.nanograms


def class_iii_divisions(division: Mass) -> tuple[int, int] | None:
    """Give the least and most divisions of a class III scale with this division.

    Returns:
        None if the division is finer than any of the class (HB 44 Table 3).
    """
    row = _ROW_OF.get(division.unit, division.unit)
    if division < parse_mass(_FINEST[row]):
        return None
    least = _LEAST_COARSE if division >= parse_mass(_COARSE[row]) else _LEAST_FINE
    return least, MOST_DIVISIONS


def judged_division(division: Mass, capacity: Mass) -> Mass:
    """Give the division by which a scale is judged.

    It is the scale's own, unless that gives more divisions than class III may have: then the
    next coarser step of 1, 2 or 5 that does not (rule of this program: a finer display alone
    does not make a better scale).
    """
    judged = division
    while capacity > judged * MOST_DIVISIONS:
        times, over = _NEXT_STEP.get(str(judged.count)[0], (2, 1))
        judged = Mass(judged.count * times // over, judged.decimals, judged.unit)
    return judged
