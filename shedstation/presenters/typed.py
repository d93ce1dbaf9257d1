"""Read what people type into fields."""

from shedstation.domain.mass import Mass, Unit, parse_mass


def typed_mass(text: str, unit: Unit) -> Mass:
    """Read a mass; a bare number is in the bench's unit, which must be a simple one for that.

    Raises:
        ValueError: if it is not a mass above zero.
    """
    text = text.strip()
    bare = text.replace(".", "", 1).isdecimal() and unit is not Unit.LB_OZ
    mass = parse_mass(f"{text} {unit.value}" if bare else text)
    if mass.count <= 0:
        raise ValueError(text)
    return mass


def typed_count(text: str) -> int:
    """Read a number of fruit.

    Raises:
        ValueError: if it is not a whole number above zero.
    """
    if not text.isdecimal() or int(text) == 0:
        raise ValueError(text)
    return int(text)
