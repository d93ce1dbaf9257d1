"""Count the open day's boxes and culls, anew only when something was done."""

from shedstation.domain.box import Box
from shedstation.domain.day import BoxSum, sum_boxes
from shedstation.station.station import Station


class DayCount:
    """The boxes and culls of the open day as they were counted last."""

    def __init__(self, station: Station) -> None:
        """Count for the first time."""
        self._station = station
        self._last_closed: str | None = None
        self.boxes: tuple[Box, ...] = ()
        self.culled = 0
        self.count()

    def count(self) -> None:
        """Count anew."""
        day, ledger = self._station.day, self._station.ledger
        self.boxes = () if day is None else ledger.boxes_on(day)
        culls = () if day is None else ledger.culls_on(day)
        self.culled = sum(cull.count or 0 for cull in culls)

    def follow(self, last: Box | None) -> None:
        """Count anew if the bench has closed another box: a press may have waited for the scale."""
        closed = None if last is None else last.serial
        if closed != self._last_closed:
            self._last_closed = closed
            self.count()

    @property
    def sum(self) -> BoxSum | None:
        """Get the boxes that were not voided, counted and weighed together."""
        return sum_boxes(box for box in self.boxes if not box.voided)
