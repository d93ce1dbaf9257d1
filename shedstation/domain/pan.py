"""Watch the pan: what is on it, what of it is the empty box, and who took the box off the weight."""

from dataclasses import dataclass
from typing import Final

from shedstation.domain.bench_sequence import Saw, Step
from shedstation.domain.box import TareBy
from shedstation.domain.display import Display
from shedstation.domain.mass import Mass, Unit, zero
from shedstation.domain.reading import Mode, Reading, State

_KEEPS_BOX: Final = frozenset({Saw.LOAD_ON, Saw.SAME_AGAIN, None})
"""Only these leave the last steady reading of an open box behind; the rest is compared with it."""

LEAST_BOX_DIVISIONS: Final = 5
"""No box is lighter than this many divisions: it is a leaf or a wet pan (our rule)."""

_READINGS_OFF: Final = 2
"""This many readings in a row without a load mean the box is off, steady or not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TareRange:
    """What an empty box of the kind being packed weighs."""

    least: Mass
    most: Mass

    def holds(self, load: Mass) -> bool:
        """Tell whether a load could be one empty box of this kind."""
        return self.least <= load <= self.most


class Pan:
    """What is known of the load on one scale.

    Two masses explain every way to an empty-box zero: `offset`, what the scale's own tare or zero
    key hides from its display, and `tare`, the empty box. The whole load is reading plus
    offset; the fruit are the whole load minus the tare. With the station's own tare the offset is
    nothing; after the scale's keys it equals the tare, so that net is the reading.
    """

    tare: Mass | None
    tare_by: TareBy | None

    def __init__(self, unit: Unit, division: Mass) -> None:
        """Start with an empty pan of a scale that shows this unit in these divisions."""
        self.unit = unit
        self._nothing = zero(unit, division.decimals)
        self.display = Display(division)
        self.offset = self._nothing
        self.steady: Reading | None = None
        """The last steady reading of the scale in its right unit."""

        self.hides_unseen = False
        """Whether the scale shows net of a tare that was not seen being taken."""

        self._saw_offset = False
        """Whether the empty pan was seen to show minus the offset."""

        self._doubtful: Mass | None = None
        """What was hidden until the display jumped to zero: at a key, or at the next box?"""

        self.forget_box()

    def load(self, reading: Reading) -> Mass | None:
        """Give the whole load on the pan, box included; none if the reading has no usable mass."""
        if reading.mass is None or reading.mass.unit is not self.unit:
            return None
        return reading.mass + self.offset

    def net(self, reading: Reading) -> Mass | None:
        """Give the fruit on the pan; none without a tare or a usable mass."""
        load = self.load(reading)
        return None if load is None or self.tare is None else load - self.tare

    def take_tare(self, reading: Reading) -> None:
        """Take the load of a steady reading as the empty box."""
        self.tare, self.tare_by = self.load(reading), TareBy.STATION

    def resume(self, tare: Mass, tare_by: TareBy) -> None:
        """Take up a box that was tared before the station stopped."""
        self.tare, self.tare_by, self._broken = tare, tare_by, True
        if tare_by is not TareBy.STATION:
            self.offset = tare

    def knows_hidden(self, reading: Reading) -> bool:
        """Tell whether it is sure what the scale hides from a reading of a box that changed.

        It is not after a key pressed with the box open, nor after a break on a scale zeroed under the
        box, unless the reading is the one before or that plus the tare.
        """
        if self._key_pressed:
            return False
        if reading.mode is Mode.NET:
            return not self._turned_net(reading)
        in_doubt = self.tare_by is TareBy.ZERO and self._broken
        return not in_doubt or self._shows_whole_load(reading) or self.agrees(reading)

    def _turned_net(self, reading: Reading) -> bool:
        """Tell whether the scale was tared by its own key when the box already had its tare."""
        was_net = self.steady is not None and self.steady.mode is Mode.NET
        return reading.mode is Mode.NET and not (was_net or self.tare_by is TareBy.SCALE)

    def _shows_whole_load(self, reading: Reading) -> bool:
        """Tell whether a reading went up by the tare: the scale forgot its own zero in a break."""
        before = None if self.steady is None else self.steady.mass
        if before is None or reading.mass is None or self.tare is None:
            return False
        return self._broken and self.display.near(reading.mass - before, self.tare)

    def carry_on(self, reading: Reading) -> None:
        """Accept a steady reading of the same box after a change: a shown gross has no offset."""
        forgot_zero = self.tare_by is TareBy.ZERO and self._shows_whole_load(reading)
        if forgot_zero or (self.tare_by is TareBy.SCALE and reading.mode is Mode.GROSS):
            self.offset = self._nothing
        self.steady, self._key_pressed, self._broken = reading, False, False

    def forget_box(self) -> None:
        """Drop the tare; what the scale itself hides stays hidden."""
        self.tare, self.tare_by = None, None
        self._key_pressed = False  # zeroed with the box open: no weight proves it is the same
        self._broken = False  # the line broke with it open: the scale may have forgotten its zero
        self._off_in_row = 0

    def see(self, step: Step, reading: Reading, tares: TareRange) -> Saw | None:
        """Say what a reading means at this step, or none if it says nothing yet.

        Args:
            step: Where the work stands.
            reading: A reading of the scale, in its right unit and with a mass.
            tares: What an empty box weighs.
        """
        saw = self._meaning(step, reading, tares)
        self.display.follow(reading)
        if reading.state is State.STEADY and (not step.has_open_box or saw in _KEEPS_BOX):
            self.steady = reading
        return saw

    def lose_line(self, step: Step) -> None:
        """Forget what does not survive a break: without an open box, all that the scale may hide."""
        if step.has_open_box:
            self._broken = True
        elif step is not Step.CLOSED:
            self.forget_hidden()

    def forget_hidden(self) -> None:
        """Take the scale as hiding nothing until an empty pan shows otherwise."""
        self.steady, self._doubtful = None, None
        self.display.forget()
        self._hides(self._nothing)

    def _meaning(self, step: Step, reading: Reading, tares: TareRange) -> Saw | None:
        if step in (Step.EMPTY, Step.BOX_ON):
            return self._before_tare(reading, tares)
        if step is Step.FILLING:
            return self._while_filling(reading, tares)
        if step is Step.CLOSED:
            return self._after_close(reading, tares)
        return self._after_break(reading, tares)

    def _before_tare(self, reading: Reading, tares: TareRange) -> Saw:
        if reading.state is State.STEADY:
            if self._was_box(reading, tares) or self._own_key(reading, tares):
                return Saw.ZEROED
            self._find_offset(reading, tares)
        if self._is_off(reading, tares):
            return Saw.NOTHING_ON
        if self._sits_on_old_tare(reading, tares):
            return Saw.ZEROED
        return Saw.LOAD_ON

    def _was_box(self, reading: Reading, tares: TareRange) -> bool:
        """Settle a doubtful zero by what comes next: a box, or fruit into the box that was on?"""
        if self._doubtful is None or reading.mass is None or self.display.shows_zero(reading):
            return False
        hidden, self._doubtful = self._doubtful, None
        if reading.mass.count < 0 or tares.holds(reading.mass) or not tares.holds(hidden):
            return False
        self._hidden_by_scale(hidden, TareBy.SCALE if reading.mode is Mode.NET else TareBy.ZERO)
        return True

    def _own_key(self, reading: Reading, tares: TareRange) -> bool:
        """Recognise the scale's tare or zero key: the shown load goes to zero and stays on the pan."""
        before = self.display.steady
        if before is None or before.mass is None:
            return False
        turned_net = reading.mode is Mode.NET and before.mode is not Mode.NET
        sent = reading.tare if turned_net else None
        if sent is None and not (
            self.display.is_direct and (turned_net or self.display.shows_zero(reading))
        ):
            return False
        box = sent or before.mass + self.offset
        if not tares.holds(box) or self.display.shows_zero(before):
            return False
        self._hidden_by_scale(box, TareBy.SCALE if reading.mode is Mode.NET else TareBy.ZERO)
        return True

    def _hidden_by_scale(self, box: Mass, tare_by: TareBy) -> None:
        self.tare, self.tare_by, self.offset = box, tare_by, box
        self.hides_unseen, self._saw_offset = False, False

    def _sits_on_old_tare(self, reading: Reading, tares: TareRange) -> bool:
        """Recognise a box as heavy as the last one, on a scale that still hides the last one."""
        if reading.state is not State.STEADY or not self._saw_offset:
            return False
        if reading.mass is None or reading.mass.count or not tares.holds(self.offset):
            return False
        before = None if self.display.steady is None else self.load(self.display.steady)
        box = before if before is not None and tares.holds(before) else self.offset
        self._hidden_by_scale(box, TareBy.SCALE if reading.mode is Mode.NET else TareBy.ZERO)
        return True

    def _find_offset(self, reading: Reading, tares: TareRange) -> None:
        """Correct what the scale hides: a cleared tare, a pan zeroed empty, a box that left it."""
        before, mass = self.display.steady, reading.mass
        if mass is None:
            return
        cleared = before is not None and before.mode is Mode.NET and reading.mode is Mode.GROSS
        jumped = self.display.jumped_to_zero(reading)
        if jumped and self._saw_offset and not self.display.sends_movement:
            return  # Such a scale jumps at every load: it is the next box.
        if cleared or jumped:
            self._doubtful = self.offset if self._saw_offset and not cleared else None
            # A pan zeroed empty, or with a load that is no box: what was hidden before is over.
            self._hides(self._nothing)
        elif mass.count < 0 and tares.holds(-mass):
            self._hides(-mass)
        elif reading.mode is Mode.NET and (before is None or before.mode is not Mode.NET):
            self.hides_unseen = True

    def _hides(self, offset: Mass) -> None:
        """Note what the empty pan's reading says the scale hides."""
        self.offset, self.hides_unseen = offset, False
        self._saw_offset = bool(offset.count)

    def _while_filling(self, reading: Reading, tares: TareRange) -> Saw | None:
        if self._stays_off(reading, tares):
            return Saw.NOTHING_ON
        before = self.steady
        if reading.state is not State.STEADY or before is None:
            return None
        if reading.mode is not before.mode:
            return Saw.OTHER
        if self.display.jumped_to_zero(reading):
            self._key_pressed = True
            return Saw.ZEROED
        return Saw.LOAD_ON

    def _stays_off(self, reading: Reading, tares: TareRange) -> bool:
        self._off_in_row = self._off_in_row + 1 if self._is_off(reading, tares) else 0
        enough = 1 if reading.state is State.STEADY else _READINGS_OFF
        return self._off_in_row >= enough

    def _after_close(self, reading: Reading, tares: TareRange) -> Saw:
        if self._is_off(reading, tares):
            return Saw.NOTHING_ON
        # A scale that drops its own tare or zero at lift-off shows zero, not minus the tare.
        if reading.state is State.STEADY and self.display.shows_zero(reading):
            self.offset = self._nothing
            return Saw.NOTHING_ON
        return Saw.LOAD_ON

    def _after_break(self, reading: Reading, tares: TareRange) -> Saw | None:
        if reading.state is not State.STEADY:
            return None
        if self._is_off(reading, tares):
            return Saw.NOTHING_ON
        self._key_pressed = self._key_pressed or self.display.jumped_to_zero(reading)
        return Saw.SAME_AGAIN if self.agrees(reading) else Saw.OTHER

    def agrees(self, reading: Reading) -> bool:
        """Tell whether a reading follows the last steady one: mode, unit, within two divisions."""
        before = self.steady
        return before is not None and not self._key_pressed and self.display.same(before, reading)

    def _is_off(self, reading: Reading, tares: TareRange) -> bool:
        """Tell whether less than half the empty box is on: the tared one, else the lightest."""
        if self.tare is not None and self._turned_net(reading):
            return False  # It hides more than it did: what it shows says nothing.
        load = self.load(reading)
        return load is not None and load * 2 < (self.tare or tares.least)
