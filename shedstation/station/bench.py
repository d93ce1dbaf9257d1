"""Carry one bench from box to box: hear its scale, take its presses, say what to do next."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from shedstation.domain.bench_sequence import Saw, Step, following
from shedstation.domain.box import Box, TareBy
from shedstation.domain.choice import Choice
from shedstation.domain.errors import Refused
from shedstation.domain.farm import Bench as BenchSetup
from shedstation.domain.farm import Pack, Sends, Setup
from shedstation.domain.freshness import Freshness, later_than
from shedstation.domain.limits import Limits, limits
from shedstation.domain.line_state import LineChanged, LineState
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
from shedstation.domain.zero_watch import ZeroWatch
from shedstation.station.actions import Action, Press
from shedstation.station.bench_view import Link
from shedstation.station.lift import Lift, doubt_at_lift

ARMED_S: Final = 3.0
"""A press waits this long for a steady reading."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Armed:
    """A press that waits for a steady reading."""

    action: Press
    until_s: float


def no_box(setup: BenchSetup) -> TareRange:
    """Give a range that holds nothing: before a pack is chosen nothing on the pan is a box."""
    return TareRange(least=setup.capacity + setup.division, most=setup.capacity)


class Bench:
    """One bench at work. What it decides is handed to `do` and `refuse`, which record it."""

    def __init__(
        self,
        setup: BenchSetup,
        *,
        do: Callable[["Bench", Press, Reading], None],
        zeroed: Callable[["Bench", Reading], None],
        refuse: Callable[[Action, Refused], None],
    ) -> None:
        """Start with an empty pan and an unheard scale.

        Args:
            setup: The bench as the farm has set it up.
            do: Carries out a press on a steady reading; may raise Refused.
            zeroed: Records that the scale's own key took the empty box off.
            refuse: Records that a waiting press came to nothing.
        """
        self.setup = setup
        self.pan = Pan(setup.unit, setup.division)
        self.zero = ZeroWatch(setup.division)
        self.freshness = Freshness(setup.sends)
        self.now_s = 0.0
        self.step = Step.EMPTY
        self.link = Link.UNHEARD
        self.line: LineState | None = None
        """What the line said of itself last; a recorded day has none."""

        self.choice: Choice | None = None
        self.pack: Pack | None = None
        self.tares = no_box(self.setup)
        self.limits: Limits | None = None
        self.person: str | None = None
        self.reading: Reading | None = None
        self.last_box: Box | None = None
        self.notice: Message | None = None  # a warning that stays until the next box is tared
        self.odd_weight: Mass | None = None
        """A weight the scale cannot show if its division is what the setup says; none so far."""

        self.armed: Armed | None = None
        self.tare_typed, self.failed_check = False, False
        self.is_checked = False  # test weights on the pan say nothing about boxes
        self.readings, self.bad_frames = 0, 0
        self._lift: Lift | None = None
        self._pace = Pace()
        self._do, self._zeroed, self._refuse = do, zeroed, refuse

    def choose_nothing(self) -> None:
        """Forget what is packed, so that it must be chosen anew."""
        self.choice, self.pack, self.limits = None, None, None
        self.tares = no_box(self.setup)

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
                self._hear_reading(self.freshness.taken(event))
            case BadFrame():
                self.bad_frames += 1
            case LineLost():
                self._break(Link.LOST)
            case LineBack():
                self._break(Link.SILENT)
            case LineChanged():
                self.line = event.state

    def tick(self, at_s: float) -> None:
        """Let time pass: a silent scale is noticed, a press that waited too long is refused."""
        self.now_s = max(self.now_s, at_s)
        if self.reading is not None and self.freshness.is_over(self.reading, at_s):
            self.reading = None
        awaited = self.setup.sends is Sends.STREAM and self.link is Link.LIVE
        if awaited and self._pace.is_silent(at_s):
            self._fall_silent()
        armed = self.armed
        if armed is not None and later_than(at_s, armed.until_s):
            self.armed = None
            self._refuse(armed.action, Refused("not_steady" if self.readings else "no_reading"))

    def _fall_silent(self) -> None:
        """Show no weight any more; it is a break too, unless a pause alone says nothing.

        It changes nothing of a box with a known tare, but one zeroed may have been switched off.
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
        self.zero.forget()
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
        if not self.is_checked:
            self._follow(reading)
        if reading.state is State.STEADY:
            self._look_at_pan(reading)
            self._do_armed(reading)

    def _look_at_pan(self, reading: Reading) -> None:
        """Watch the empty pan; right after lift-off it may speak against the box just closed."""
        if self.is_checked or self.step is Step.CLOSED:
            return
        lift, self._lift = self._lift, None
        load = self.pan.load(reading)
        if self.step is not Step.EMPTY or load is None:
            return
        if lift is not None:
            self.notice = doubt_at_lift(lift, reading, self.pan, self.tares) or self.notice
        self.zero.hear(reading.at_s, load)

    def _follow(self, reading: Reading) -> None:
        single = self.freshness.is_single(reading)
        self.pan.display.note_gap(single=single)
        if single:
            # Nobody saw what came before it: an empty box is the next one.
            load = self.pan.load(reading)
            if self.step is Step.CLOSED and load is not None and self.tares.holds(load):
                self._saw(Saw.NOTHING_ON)
        saw = self.pan.see(self.step, reading, self.tares)
        if saw is not None:
            self._saw(saw, reading)

    def _note(self, reading: Reading) -> None:
        """Take a reading as the last; a pause of a scale that streams says nothing about its pace."""
        if reading.typed:
            self.readings, self.reading = self.readings + 1, reading
            return
        if self.link is Link.SILENT and self._pace.is_streaming:
            self._pace.start_again()
        self.readings += 1
        self.link, self.reading = Link.LIVE, reading
        self._pace.hear(reading.at_s)
        self.freshness.streams = self._pace.is_fast

    def _saw(self, saw: Saw, reading: Reading | None = None) -> None:
        before, self.step = self.step, following(self.step, saw)
        if self.step is before:
            return
        if before is Step.EMPTY:
            self.zero.box_on()
        if self.step is Step.FILLING and saw is Saw.ZEROED and reading is not None:
            self.notice, self.tare_typed = None, reading.typed
            self._zeroed(self, reading)
        if not self.step.has_open_box and self.step is not Step.CLOSED:
            self.pan.forget_box()

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

    def press(self, action: Press) -> bool:
        """Carry out a press on a steady reading, or wait for one.

        Returns:
            Whether it was done at once; if not, it is armed.

        Raises:
            Refused: if it cannot be done.
        """
        reading = self.reading
        if reading is not None and self.freshness.allows(reading, action.at_s):
            self._do(self, action, reading)
            self.freshness.use(reading)
            return True
        self.armed = Armed(action=action, until_s=action.at_s + ARMED_S)
        return False

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
            self.freshness.use(reading)
        except Refused as refused:
            self._refuse(armed.action, refused)

    def resume(self, tare: Mass, tare_by: TareBy, *, typed: bool) -> None:
        """Take up the box that was open when the station stopped; a person must say it is the same."""
        self.pan.resume(tare, tare_by)
        self.tare_typed = typed
        self.step = Step.INTERRUPTED

    def tared(self, reading: Reading) -> None:
        """Go on to filling after the station took the tare."""
        self.pan.take_tare(reading)
        self.notice, self.tare_typed = None, reading.typed
        self._saw(Saw.TARED)

    def closed(self, box: Box) -> None:
        """Wait for lift-off after the box was recorded."""
        self.last_box = box
        hidden, zero = self.pan.offset, self.zero.before_box
        self._lift = Lift(box=box, hidden=hidden, zero=zero, limits=self.limits)
        self._saw(Saw.CLOSED)

    def continued(self, reading: Reading) -> None:
        """Go on with the same box after a person said so."""
        self.pan.carry_on(reading)
        self._saw(Saw.CONTINUED)

    def check_over(self) -> None:
        """Look at the pan as at an unknown one: test weights stood on it."""
        self.is_checked, self.step = False, Step.EMPTY
        self.pan.forget_hidden()

    def abandoned(self) -> None:
        """Give up the open box; after a change nobody knows what the scale hides."""
        if self.step is not Step.FILLING:
            self.pan.forget_hidden()
        self._saw(Saw.ABANDONED)


def whole_weight(bench: Bench, reading: Reading) -> Mass:
    """Give what stands on the pan in all, as a reading shows it.

    Raises:
        Refused: if it shows no weight, another unit, or is in net mode.
    """
    if reading.mass is None:
        raise Refused("no_reading")
    if bench.has_wrong_unit:
        shown, expected = reading.mass.unit.value, bench.setup.unit.value
        raise Refused("wrong_unit", shown=shown, expected=expected)
    if reading.mode is Mode.NET:
        raise Refused("check_in_net")
    return reading.mass
