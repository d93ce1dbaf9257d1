"""Show what a bench is doing, as one frozen value that screens are made of."""

from dataclasses import dataclass
from enum import Enum

from shedstation.domain.bench_sequence import Step
from shedstation.domain.box import Box, TareBy
from shedstation.domain.choice import Choice
from shedstation.domain.fruit.contents import InBox
from shedstation.domain.limits import Limits, Verdict
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.reading import Reading
from shedstation.station.actions import CloseBox
from shedstation.station.trim_view import TrimView

__all__ = ["BenchView", "Choice", "Link", "NextKey", "Step"]


class Link(Enum):
    """Whether the scale can be heard."""

    UNHEARD = "unheard"
    LIVE = "live"
    SILENT = "silent"
    LOST = "lost"


class NextKey(Enum):
    """The one thing the step key does now."""

    NOTHING = "nothing"
    TARE = "tare"
    TARE_HELD = "tare_held"
    """Tare, but the weight is unusual: the key must be held for two seconds."""

    CLOSE = "close"
    CONTINUE = "continue"


@dataclass(frozen=True, slots=True, kw_only=True)
class CountQuestion:
    """How many fruit are in the box? Asked at a close whose fruit could not all be told singly."""

    close: CloseBox
    """The press that waits for the answer."""

    likely: int
    """The best guess by weight."""

    unsure: tuple[Mass, ...]
    """What could not be told singly, in the order it was put in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchView:
    """A bench at one moment."""

    bench: str
    step: Step
    link: Link
    next_key: NextKey
    say: Message
    """The one sentence that tells what to do."""

    choice: Choice | None
    person: str | None
    reading: Reading | None
    """The last reading, none while the scale is silent, lost or unheard."""

    net: Mass | None
    """Fruit on the pan; none unless a box is tared and the reading has a mass."""

    fruit: tuple[InBox, ...]
    """The fruit in the box as far as they are told: what was at rest last. None without a net weight."""

    trim: TrimView | None
    """The trim advice and the cups; none where fruit are not told."""

    count_asked: CountQuestion | None
    """The question that a close waits for; the fruit in it are those of this moment."""

    gross: Mass | None
    tare: Mass | None
    tare_by: TareBy | None
    limits: Limits | None
    target: Mass | None
    verdict: Verdict | None
    next_serial: str
    last_box: Box | None
    armed: str | None
    """`tare`, `close_box`, `take_check_point` or `reweigh` while that waits for a steady reading."""

    age_s: float | None
    """How old a reading is that stands alone; none for one of a stream."""

    scale_failed: bool
    """Whether the scale failed its last check with test weights."""

    warning: Message | None
    """What to mind while nothing is packed yet: the zero under this box, or a scale that failed."""

    readings: int
    bad_frames: int
