"""Take pictures of an audit of the sample day's flats, made four days after they were packed."""

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from typing import Final, Protocol

from shedstation.domain.audit import AuditRule
from shedstation.domain.mass import Mass
from shedstation.station.actions import Reweigh, StartAudit
from shedstation.ui.desk import Desk
from shedstation.ui.window import StationWindow

DAYS_LATER: Final = 4
_SNAP_AFTER: Final = 5
_LOSSES: Final = (9, 12, 11, 8, 13, 10, 14, 9, 12, 11, 10, 12)
"""What the boxes lost, in hundredths of a pound."""


class PictureClock:
    """The clock of the pictures: the evening of the sample day, or some days later."""

    def __init__(self, day: date) -> None:
        """Start on the evening of a day."""
        self._evening = datetime.combine(day, time(22, 0), tzinfo=UTC)
        self._first_s: float | None = None
        self.days_later = 0

    def utc(self, at_s: float) -> str:
        """Give the UTC time of a second, counted from the first that is asked for."""
        if self._first_s is None:
            self._first_s = at_s
        past = timedelta(days=self.days_later, seconds=max(at_s - self._first_s, 0.0))
        return (self._evening + past).isoformat(timespec="milliseconds").replace("+00:00", "Z")

    def begin(self, day: date, starts_at: time) -> None:
        """Ignore a day's beginning: the evening is set."""


class Scale(Protocol):
    """A scale that shows what the pictures need."""

    def shows(self, pounds: str) -> None:
        """Let it come to rest at a weight."""


def audit_pictures(
    take: Callable[[str], None], window: StationWindow, desk: Desk, scale: Scale
) -> None:
    """Draw, weigh and judge, a picture before, on the way and after, in both languages."""
    rule = AuditRule.HANDBOOK_133
    scale.shows("0.00")
    take("audit_1_before")
    begin = StartAudit(**window.moment(), pack="Flat 25 lb", rule=rule, by="noor")
    desk.station.carry_out(begin)
    for number, lost in enumerate(_LOSSES):
        going = desk.station.audit_at(window.bench)
        assert going is not None  # noqa: S101  # as many boxes are drawn as lost something
        _weigh(window, desk, scale, going.left[0], lost)
        if number == _SNAP_AFTER:
            scale.shows("0.00")
            take("audit_2_next_box")
    take("audit_3_result")
    window.set_language("es")
    take("audit_3_result_es")
    window.set_language("en")


def _weigh(window: StationWindow, desk: Desk, scale: Scale, serial: str, lost: int) -> None:
    box = desk.station.ledger.box(serial)
    assert box is not None  # noqa: S101  # it was drawn
    scale.shows("0.00")
    scale.shows((box.gross - Mass(lost, 2, box.gross.unit)).number())
    desk.station.carry_out(Reweigh(**window.moment(), serial=serial))
