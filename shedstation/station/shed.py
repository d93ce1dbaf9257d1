"""Hold what all of the station's use cases share: the ledger, the clock, the setup, the open day."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date

from shedstation.domain.audit import AuditSoFar
from shedstation.domain.box import Box, LabelJob
from shedstation.domain.empty_pan import EmptyPan
from shedstation.domain.errors import Refused
from shedstation.domain.facts import Draft, Json, Kind
from shedstation.domain.farm import Setup
from shedstation.domain.intake import Load
from shedstation.domain.lot import MOST_LOTS_A_DAY, Lot, lot_code, parse_label_code, serial
from shedstation.domain.message import Message
from shedstation.domain.payload import from_payload, to_payload
from shedstation.station.actions import Action
from shedstation.station.bench import Bench
from shedstation.station.check_at_bench import CheckAtBench
from shedstation.station.fruit_watch import FruitWatch
from shedstation.station.ports import Clock, Ledger
from shedstation.station.trimming import Trimming


class Shed:
    """The shed as all use cases see it."""

    def __init__(
        self,
        *,
        ledger: Ledger,
        clock: Clock,
        say: Callable[[Message], str],
        draw_seed: Callable[[str], str],
    ) -> None:
        """Take up where the ledger stands.

        Args:
            ledger: Keeps the facts.
            clock: Says the UTC time of a moment.
            say: Says a message in words, for what is recorded as text.
            draw_seed: Draws the seed of a random sample, given what the sample is of.
        """
        self.draw_seed = draw_seed
        self.ledger = ledger
        self.clock = clock
        self.say = say
        self.day: date | None = ledger.open_day()
        self.benches: dict[str, Bench] = {}
        self.checks: dict[str, CheckAtBench] = {}
        """Checks with test weights that are going on, by bench."""

        self.audits: dict[str, AuditSoFar] = {}
        """Audits that are going on, by bench."""

        self._empty_pans: dict[str, EmptyPan] = {}
        self.fruit: dict[str, FruitWatch] = {}
        """What tells the fruit at each bench; empty where they are not told."""

        self.trimming: dict[str, Trimming] = {}
        """What follows the packer with the cups, at each bench whose fruit are told."""

        self.queued: list[LabelJob] = []
        """Labels that wait to be printed, oldest first."""

        self._setup: Setup | None = ledger.setup()
        self._closed: dict[str, list[str]] = {}
        self._next: dict[str, int] = {}
        self._drafted_lots: list[Lot] = []
        """Lots that drafts not yet recorded bring with them."""

    @property
    def setup(self) -> Setup:
        """Get the farm's setup.

        Raises:
            Refused: before the station was set up.
        """
        if self._setup is None:
            raise Refused("not_set_up")
        return self._setup

    def take_setup(self, setup: Setup) -> None:
        """Go on with another setup."""
        self._setup = setup

    def open_date(self) -> date:
        """Give the date of the open day.

        Raises:
            Refused: if no day is open.
        """
        if self.day is None:
            raise Refused("day_not_open")
        return self.day

    def bench(self, name: str) -> Bench:
        """Find a bench.

        Raises:
            Refused: if no bench has that name.
        """
        if name not in self.benches:
            raise Refused("unknown_bench", bench=name)
        return self.benches[name]

    def empty_pan(self, bench: str) -> EmptyPan:
        """Give what watches a bench's empty pan between boxes that are weighed again."""
        return self._empty_pans.setdefault(bench, EmptyPan())

    def forget_empty_pan(self, bench: str) -> None:
        """Forget what a bench's pan showed: it may have another scale now."""
        self._empty_pans.pop(bench, None)

    def refuse_if_busy(self, bench: str | None = None) -> None:
        """Do nothing else while a scale is checked or an audit goes on.

        Args:
            bench: The bench; none means any of them.

        Raises:
            Refused: if it is so.
        """
        for code, going in (("check_going", self.checks), ("audit_going", self.audits)):
            if bench in going or (bench is None and going):
                raise Refused(code)

    def draft(self, kind: Kind, action: Action, payload: Mapping[str, Json]) -> Draft:
        """Draft a fact about what an action did."""
        noted = dict(payload) if action.note is None else {**payload, "note": action.note}
        by = action.by or (
            self.benches[action.bench].person if action.bench in self.benches else None
        )
        at = self.clock.utc(action.at_s)
        return Draft(kind=kind, bench=action.bench, at=at, by=by, payload=noted)

    def record(self, kind: Kind, action: Action, payload: Mapping[str, Json]) -> None:
        """Record one fact about what an action did."""
        self.record_all([self.draft(kind, action, payload)])

    def record_all(self, drafts: Sequence[Draft]) -> None:
        """Record facts together; labels asked for then wait to be printed."""
        self.ledger.record(drafts)
        self.forget_drafts()
        queued = (each.payload for each in drafts if each.kind is Kind.LABEL_QUEUED)
        self.queued.extend(from_payload(LabelJob, payload) for payload in queued)

    def forget_drafts(self) -> None:
        """Forget what was drafted: it is recorded now, or never will be."""
        self._drafted_lots.clear()

    def load(self, code: str) -> Load:
        """Find a load.

        Raises:
            Refused: if no such load was received.
        """
        found = self.ledger.load(code)
        if found is None:
            raise Refused("unknown_load", load=code)
        return found

    def lot_of(self, load: Load, packed_on: date) -> tuple[Lot, dict[str, Json]]:
        """Give the lot of a load on a pack date, and what a fact must carry if the lot is new.

        Raises:
            Refused: if the day has no lot code left.
        """
        drafted = (lot for lot in self._drafted_lots if lot.packed_on == packed_on)
        lots = (*self.ledger.lots_on(packed_on), *drafted)
        key = (load.block, load.cultivar, load.picked_on)
        for lot in lots:
            if (lot.block, lot.cultivar, lot.picked_on) == key:
                return lot, {}
        if len(lots) >= MOST_LOTS_A_DAY:
            raise Refused("too_many_lots", most=MOST_LOTS_A_DAY)
        lot = _new_lot(load, packed_on, len(lots) + 1)
        self._drafted_lots.append(lot)
        return lot, {"new_lot": to_payload(lot)}

    def note_closed(self, box: Box) -> None:
        """Remember the order of closing at each bench, for `#n` and `last`."""
        self._closed.setdefault(box.bench, []).append(box.serial)
        self._next[box.bench] += 1

    def next_serial(self, bench: str) -> str:
        """Give the serial of the bench's next box."""
        if bench not in self._next:
            self._next[bench] = self.ledger.next_number(bench)
        return serial(bench, self._next[bench])

    def serial(self, text: str, bench: str) -> str:
        """Resolve a serial, a label's code, `#n` (the n-th box of this bench) or `last`.

        Raises:
            Refused: if there is no such box.
        """
        closed = self._closed.get(bench, [])
        if text == "last" and closed:
            return closed[-1]
        number = text.removeprefix("#")
        if text != number and number.isdecimal() and 1 <= int(number) <= len(closed):
            return closed[int(number) - 1]
        try:
            return parse_label_code(text)[0]
        except ValueError:
            raise Refused("unknown_serial", serial=text) from None

    def box(self, text: str, bench: str) -> Box:
        """Find a box by what was typed or scanned.

        Raises:
            Refused: if there is no such box.
        """
        found = self.ledger.box(self.serial(text, bench))
        if found is None:
            raise Refused("unknown_serial", serial=text)
        return found

    def standing_box(self, text: str, bench: str) -> Box:
        """Find a box that was not voided.

        Raises:
            Refused: if there is none, or it was voided.
        """
        box = self.box(text, bench)
        if box.voided:
            raise Refused("already_void", serial=box.serial)
        return box


def once(boxes: Iterable[Box]) -> list[Box]:
    """Give each box once, in the order of first naming."""
    return list({box.serial: box for box in boxes}.values())


def _new_lot(load: Load, packed_on: date, order: int) -> Lot:
    return Lot(
        code=lot_code(packed_on, order),
        packed_on=packed_on,
        block=load.block,
        cultivar=load.cultivar,
        picked_on=load.picked_on,
    )
