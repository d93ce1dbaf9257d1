"""Carry one bench from box to box: hear its scale, take its presses, say what to do next."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from shedstation.domain.bench_sequence import Saw, Step, following
from shedstation.domain.box import Box, TareBy
from shedstation.domain.choice import Choice
from shedstation.domain.errors import Refused
from shedstation.domain.farm import Bench as BenchSetup
from shedstation.domain.farm import Pack, Setup
from shedstation.domain.limits import Limits, limits
from shedstation.domain.line_state import LineChanged, LineNotice, LineState
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.pace import Pace
from shedstation.domain.pan import Pan, TareRange
from shedstation.domain.reading import (
    BadFrame,
    LineBack,
    LineLost,
    Mode,
    Reading,
    ScaleEvent,
    State,
)
from shedstation.station.actions import Action, CloseBox, TareBox
from shedstation.station.bench_view import Link

FRESH_S: Final = 1.0
"""A steady reading older than this decides nothing."""

ARMED_S: Final = 3.0
"""A press waits this long for a steady reading."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Armed:
    """A press that waits for a steady reading."""

    action: TareBox | CloseBox
    until_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """What the empty pan must show once a closed box is lifted off."""

    hidden: Mass
    """What the scale was known to hide while the box was filled."""

    tare_by: TareBy


def later_than(at_s: float, limit_s: float) -> bool:
    """Tell whether a moment is past a limit; times are whole microseconds, whatever floats say."""
    return round(at_s * 1e6) > round(limit_s * 1e6)


class Bench:
    """One bench at work. What it decides is handed to `do` and `refuse`, which record it."""

    def __init__(
        self,
        setup: BenchSetup,
        *,
        do: Callable[["Bench", TareBox | CloseBox, Reading], None],
        zeroed: Callable[["Bench", Reading], None],
        refuse: Callable[[Action, Refused], None],
    ) -> None:
        """Start with an empty pan and an unheard scale.

        Args:
            setup: The bench as the farm has set it up.
            do: Carries out a tare or a close on a steady reading; may raise Refused.
            zeroed: Records that the scale's own key took the empty box off.
            refuse: Records that a waiting press came to nothing.
        """
        self.setup = setup
        self.pan = Pan(setup.unit, setup.division)
        self.step = Step.EMPTY
        self.link = Link.UNHEARD
        self.line: LineState | None = None
        """What the line said of itself last; a recorded day has none."""

        self.choice: Choice | None = None
        self.pack: Pack | None = None
        self.tares = self._no_box()
        self.limits: Limits | None = None
        self.person: str | None = None
        self.reading: Reading | None = None
        self.last_box: Box | None = None
        self.notice: Message | None = None
        """A warning that stays until the next box is tared."""

        self.odd_weight: Mass | None = None
        """A weight the scale cannot show if its division is what the setup says; none so far."""

        self.armed: Armed | None = None
        self.readings = 0
        self.bad_frames = 0
        self._lift: Lift | None = None
        self._pace = Pace()
        self._do = do
        self._zeroed = zeroed
        self._refuse = refuse

    def _no_box(self) -> TareRange:
        """Give a range that holds nothing: before a pack is chosen nothing on the pan is a box."""
        return TareRange(least=self.setup.capacity + self.setup.division, most=self.setup.capacity)

    def choose_nothing(self) -> None:
        """Forget what is packed, so that it must be chosen anew."""
        self.choice, self.pack, self.limits = None, None, None
        self.tares = self._no_box()

    def choose(self, choice: Choice, setup: Setup) -> None:
        """Take up a load, pack and grade: limits and the usual empty box follow from the pack."""
        self.choice = choice
        self.pack = setup.pack(choice.pack)
        box = setup.box(self.pack.box)
        self.tares = TareRange(least=box.tare_least, most=box.tare_most)
        self.limits = limits(self.pack, self.setup.division)

    def hear(self, event: ScaleEvent) -> None:
        """Take in what came from the scale."""
        self.tick(event.at_s)
        match event:
            case Reading():
                self._hear_reading(event)
            case BadFrame():
                self.bad_frames += 1
            case LineLost():
                self._break(Link.LOST)
            case LineBack():
                # Another line was connected if none was lost before.
                self._break(Link.SILENT)
            case LineChanged():
                self.line = event.state
            case LineNotice():
                """A word to people, which changes nothing."""

    def tick(self, at_s: float) -> None:
        """Let time pass: a silent scale is noticed, a press that waited too long is refused."""
        if self._pace.is_silent(at_s) and self.link is Link.LIVE:
            self._fall_silent()
        armed = self.armed
        if armed is not None and later_than(at_s, armed.until_s):
            self.armed = None
            self._refuse(armed.action, Refused("not_steady" if self.readings else "no_reading"))

    def _fall_silent(self) -> None:
        """Show no weight any more; is it also a break, after which nothing is sure?

        A scale that does not stream leaves pauses, and a pause alone does not change what a box with
        a known tare weighs. A scale that was zeroed under the box may have been switched off.
        """
        kept = self.step.has_open_box and self.pan.tare_by is not TareBy.ZERO
        if kept or not self._pace.is_streaming:
            self.link, self.reading = Link.SILENT, None
        else:
            self._break(Link.SILENT)

    def _break(self, link: Link) -> None:
        self.link, self.reading = link, None
        self._pace.start_again()
        self.pan.lose_line(self.step)
        self._saw(Saw.BREAK)

    def _hear_reading(self, reading: Reading) -> None:
        self._note(reading)
        if reading.mass is None:
            return
        if self.has_wrong_unit:
            self._saw(Saw.OTHER)
            return
        if self.odd_weight is None and not reading.mass.is_multiple_of(self.setup.division):
            self.odd_weight = reading.mass
        saw = self.pan.see(self.step, reading, self.tares)
        if saw is not None:
            self._saw(saw, reading)
        if reading.state is State.STEADY:
            if self.step is not Step.CLOSED:
                self._check_lift(reading)
            self._do_armed(reading)

    def _note(self, reading: Reading) -> None:
        """Take a reading as the last; a pause of a scale that streams says nothing about its pace."""
        if self.link is Link.SILENT and self._pace.is_streaming:
            self._pace.start_again()
        self.readings += 1
        self.link, self.reading = Link.LIVE, reading
        self._pace.hear(reading.at_s)

    def _saw(self, saw: Saw, reading: Reading | None = None) -> None:
        before, self.step = self.step, following(self.step, saw)
        if self.step is before:
            return
        if self.step is Step.FILLING and saw is Saw.ZEROED and reading is not None:
            self.notice = None
            self._zeroed(self, reading)
        if not self.step.has_open_box and self.step is not Step.CLOSED:
            self.pan.forget_box()

    def _check_lift(self, reading: Reading) -> None:
        """Look at the empty pan after lift-off: was the box weighed with a wrong tare?

        After the scale's own key the display must go below zero: if it shows zero, the key was never
        pressed with the box on and the box itself is in the net. If it goes below what the scale was
        known to hide, the scale hid something nobody saw.
        """
        lift, self._lift = self._lift, None
        if lift is None or self.step is not Step.EMPTY or reading.mass is None:
            return
        drops_its_tare = lift.tare_by is TareBy.SCALE and reading.mode is not Mode.NET
        by_key = lift.tare_by is not TareBy.STATION and not drops_its_tare
        imagined = by_key and self.pan.display.shows_zero(reading)
        hidden = -(reading.mass + lift.hidden) * 2 > self.tares.least
        if self.last_box is not None and (imagined or hidden):
            values = {"serial": self.last_box.serial, "tare": self.last_box.tare}
            self.notice = Message("bench.weigh_again", values)

    @property
    def has_wrong_unit(self) -> bool:
        """Tell whether the scale shows another unit than the bench packs in."""
        mass = None if self.reading is None else self.reading.mass
        return mass is not None and mass.unit is not self.setup.unit

    @property
    def net(self) -> Mass | None:
        """Get the fruit on the pan as far as it may be believed; none after an unanswered change."""
        if self.reading is None or self.step not in (Step.FILLING, Step.CLOSED):
            return None
        return self.pan.net(self.reading)

    def press(self, action: TareBox | CloseBox) -> bool:
        """Tare or close on a steady reading, or wait for one.

        Returns:
            Whether it was done at once; if not, it is armed.

        Raises:
            Refused: if it cannot be done.
        """
        reading = self.reading
        if reading is not None and self.is_fresh(reading, action.at_s):
            self._do(self, action, reading)
            return True
        self.armed = Armed(action=action, until_s=action.at_s + ARMED_S)
        return False

    def is_fresh(self, reading: Reading, at_s: float) -> bool:
        """Tell whether a reading is steady and at most a second old."""
        return reading.state is State.STEADY and not later_than(at_s, reading.at_s + FRESH_S)

    def disarm(self) -> None:
        """Give up a waiting press because the bench was asked something else."""
        if self.armed is not None:
            armed, self.armed = self.armed, None
            self._refuse(armed.action, Refused("superseded"))

    def _do_armed(self, reading: Reading) -> None:
        if self.armed is None:
            return
        armed, self.armed = self.armed, None
        try:
            self._do(self, armed.action, reading)
        except Refused as refused:
            self._refuse(armed.action, refused)

    def resume(self, tare: Mass, tare_by: TareBy) -> None:
        """Take up the box that was open when the station stopped; a person must say it is the same."""
        self.pan.resume(tare, tare_by)
        self.step = Step.INTERRUPTED

    def tared(self, reading: Reading) -> None:
        """Go on to filling after the station took the tare."""
        self.pan.take_tare(reading)
        self.notice = None
        self._saw(Saw.TARED)

    def closed(self, box: Box) -> None:
        """Wait for lift-off after the box was recorded."""
        self.last_box = box
        self._lift = Lift(hidden=self.pan.offset, tare_by=box.tare_by)
        self._saw(Saw.CLOSED)

    def continued(self, reading: Reading) -> None:
        """Go on with the same box after a person said so."""
        self.pan.carry_on(reading)
        self._saw(Saw.CONTINUED)

    def abandoned(self) -> None:
        """Give up the open box; after a change nobody knows what the scale hides."""
        if self.step is not Step.FILLING:
            self.pan.forget_hidden()
        self._saw(Saw.ABANDONED)
