"""Read one frame: what is not wholly in the language is a bad frame, never a number."""

from shedstation.devices.languages.framing import Cut
from shedstation.devices.languages.language import Bare, Language
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import BadFrame, Reading


def read_frame(
    spoken: Language,
    at_s: float,
    frame: bytes,
    cut: Cut = Cut.WHOLE,
    last_unit: Unit | None = None,
) -> Reading | BadFrame:
    """Read one frame.

    Args:
        spoken: The language.
        at_s: When its last byte came.
        frame: Its bytes of seven bits, terminators left out.
        cut: Whether it may be read at all.
        last_unit: The unit of a number that is sent without one.
    """
    if cut is not Cut.WHOLE:
        return BadFrame(at_s, frame, cut.value)
    found = spoken.grammar.fullmatch(frame)
    meaning = spoken.parse(found) if found else None
    if meaning is None:
        return BadFrame(at_s, frame, f"not in the language {spoken.name}")
    mass = _with_unit(meaning.mass, last_unit)
    return Reading(at_s, mass, meaning.state, meaning.mode, meaning.tare)


def _with_unit(mass: Mass | Bare | None, last_unit: Unit | None) -> Mass | None:
    if not isinstance(mass, Bare):
        return mass
    return None if last_unit is None else Mass(mass.count, mass.decimals, last_unit)
