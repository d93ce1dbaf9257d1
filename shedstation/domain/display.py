"""Follow what a scale's display shows: has its own key been pressed?"""

from typing import Final

from shedstation.domain.mass import Mass
from shedstation.domain.reading import Reading, State

_TWO_DIVISIONS: Final = 2


class Display:
    """The last steady reading, and whether anything but that reading and zero was seen since."""

    def __init__(self, division: Mass) -> None:
        """Start with nothing shown yet."""
        self._near = division * _TWO_DIVISIONS
        self.steady: Reading | None = None
        """The last steady reading at all, whatever it meant."""

        self.sends_movement = False
        """Whether it ever said that it moves; if not, a jump may as well be a load put on."""

        self._is_direct = True
        self._has_gap = False
        self._was_single = False

    @property
    def is_direct(self) -> bool:
        """Get whether nothing but that reading and zero was seen since, so that a jump was a key."""
        return self._is_direct and not self._has_gap

    def note_gap(self, *, single: bool) -> None:
        """Note whether the next reading stands alone: nobody saw what came before or after such a one."""
        self._has_gap, self._was_single = single or self._was_single, single

    def near(self, one: Mass, other: Mass) -> bool:
        """Tell whether two masses agree within two divisions."""
        return abs(one - other) <= self._near

    def shows_zero(self, reading: Reading) -> bool:
        """Tell whether the display is within two divisions of zero."""
        return reading.mass is not None and abs(reading.mass) <= self._near

    def same(self, one: Reading, other: Reading) -> bool:
        """Tell whether two readings show the same: mode, unit, within two divisions."""
        if one.mass is None or other.mass is None or one.mode is not other.mode:
            return False
        return one.mass.unit is other.mass.unit and self.near(one.mass, other.mass)

    def forget(self) -> None:
        """Take what is shown next as the first."""
        self.steady = None

    def follow(self, reading: Reading) -> None:
        """Follow the display on."""
        if reading.state is State.STEADY:
            self.steady, self._is_direct = reading, True
            return
        self.sends_movement = True
        before = self.steady
        # What comes after a change of mode comes after the key.
        if before is None or before.mass is None or reading.mode is not before.mode:
            return
        if reading.mass is not None and not self.near(reading.mass, before.mass):
            self._is_direct = self._is_direct and self.shows_zero(reading)

    def jumped_to_zero(self, reading: Reading) -> bool:
        """Tell whether it went from a steady weight to zero at once, as at a key."""
        before = self.steady
        if before is None or before.mass is None or self.shows_zero(before):
            return False
        return self.is_direct and self.shows_zero(reading)
