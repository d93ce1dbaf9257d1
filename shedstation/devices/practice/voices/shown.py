"""Say what a scale's display shows at one moment, and write its numbers."""

from dataclasses import dataclass
from typing import Final

from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Mode, State

BEYOND: Final = frozenset({State.OVER, State.UNDER})
OUNCES_IN_POUND: Final = 16


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One state of a scale's display."""

    mass: Mass
    """What the digits show (or would, beyond the range): the net weight while a tare is set."""

    state: State
    mode: Mode = Mode.GROSS
    tare: Mass | None = None
    """What the scale's own tare key took off; none while it shows gross."""

    at_s: float = 0.0
    """Seconds since the scale was switched on, for languages that send a time."""

    @property
    def has_digits(self) -> bool:
        """Get whether the display shows a weight at all."""
        return self.state in {State.STEADY, State.MOVING}

    @property
    def own_tare(self) -> Mass:
        """Get the tare, nothing while the scale shows gross."""
        return self.tare or self.mass * 0


def sign(mass: Mass, plus: str = " ") -> str:
    """Give the sign as one character."""
    return "-" if mass.count < 0 else plus


def spaced_pounds(mass: Mass) -> str:
    """Write pounds and ounces without their sign: `25 lb 10.2 oz`."""
    return str(abs(mass))


def padded_pounds(mass: Mass) -> str:
    """Write pounds and ounces in columns, without their sign: `25 lb  6.2 oz`."""
    pounds, ounces = _parts(mass)
    return f"{pounds} lb {ounces:>{_width(mass)}} oz"


def glued_pounds(mass: Mass) -> str:
    """Write pounds and ounces with nothing between, without their sign: `25lb10.2oz`."""
    pounds, ounces = _parts(mass)
    return f"{pounds}lb{ounces}oz"


def colon_pounds(mass: Mass) -> str:
    """Write pounds and ounces with a colon and no unit, without their sign: `25:10.2`."""
    pounds, ounces = _parts(mass)
    return f"{pounds}:{ounces:>0{_width(mass)}}"


def _parts(mass: Mass) -> tuple[int, str]:
    pounds, rest = divmod(abs(mass.count), OUNCES_IN_POUND * 10**mass.decimals)
    return pounds, Mass(rest, mass.decimals, Unit.OZ).number()


def _width(mass: Mass) -> int:
    return 2 + bool(mass.decimals) + mass.decimals


def ascii_line(text: str, end: str = "\r\n") -> bytes:
    """Give a line as it is sent."""
    return (text + end).encode("ascii")
