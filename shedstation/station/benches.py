"""Build the benches of a setup, and give each back what it was at when the station stopped."""

from collections.abc import Callable, Mapping

from shedstation.domain.box import TareBy
from shedstation.domain.choice import Choice
from shedstation.domain.errors import Refused
from shedstation.domain.farm import Bench as BenchSetup
from shedstation.domain.farm import Setup
from shedstation.domain.lot import serial
from shedstation.domain.mass import parse_mass
from shedstation.domain.scale_check import Outcome as CheckOutcome
from shedstation.station import auditing, cups, packing
from shedstation.station.actions import Action
from shedstation.station.bench import Bench
from shedstation.station.fruit_watch import FruitWatch
from shedstation.station.handlers import do_press
from shedstation.station.shed import Shed
from shedstation.station.trimming import Trimming

Refuse = Callable[[Action, Refused], None]


def build_benches(shed: Shed, setup: Setup, refuse: Refuse, *, tells_fruit: bool) -> None:
    """Build the benches of a setup; one that is as it was goes on.

    Args:
        shed: Gets them.
        setup: The setup.
        refuse: Records that a waiting press came to nothing.
        tells_fruit: Whether every fruit is told as it goes into the box.
    """
    before = shed.benches
    shed.benches = {
        each.name: _same_or_new(shed, before.get(each.name), each, refuse) for each in setup.benches
    }
    shed.fruit = _watches(shed, before) if tells_fruit else {}
    shed.trimming = _trimmings(shed, before)
    for bench in shed.benches.values():
        if bench.choice is not None:
            _choose_again(shed, bench, bench.choice, setup)


def _watches(shed: Shed, before: Mapping[str, Bench]) -> dict[str, FruitWatch]:
    """Give what tells the fruit at each bench; a bench that goes on keeps its own."""
    kept = shed.fruit
    return {
        name: kept[name] if before.get(name) is bench else FruitWatch(bench.setup.division)
        for name, bench in shed.benches.items()
    }


def _trimmings(shed: Shed, before: Mapping[str, Bench]) -> dict[str, Trimming]:
    """Give what follows the packer at each bench whose fruit are told."""
    kept, benches = shed.trimming, shed.benches
    return {
        name: kept[name]
        if before.get(name) is benches[name]
        else cups.trimming_at(shed, benches[name])
        for name in shed.fruit
    }


def _choose_again(shed: Shed, bench: Bench, choice: Choice, setup: Setup) -> None:
    """Go on with a choice, unless its pack is set up no more or it was made on another day."""
    today = () if shed.day is None else shed.ledger.lots_on(shed.day)
    if choice.pack in {p.name for p in setup.packs} and choice.lot in {t.code for t in today}:
        bench.choose(choice, setup)
    else:
        bench.choose_nothing()


def _same_or_new(shed: Shed, before: Bench | None, setup: BenchSetup, refuse: Refuse) -> Bench:
    if before is not None and before.setup == setup:
        return before
    shed.forget_empty_pan(setup.name)
    bench = Bench(
        setup,
        do=lambda bench, action, reading: do_press(shed, bench, action, reading),
        zeroed=lambda bench, reading: packing.zeroed(shed, bench, reading),
        refuse=refuse,
    )
    if before is not None:
        bench.choice, bench.person = before.choice, before.person
        bench.last_box, bench.failed_check = before.last_box, before.failed_check
    else:
        _take_up(shed, bench)
    return bench


def _take_up(shed: Shed, bench: Bench) -> None:
    """Give a bench back its person, its choice, its last box and the box that was open."""
    ledger = shed.ledger
    closed = ledger.next_number(bench.setup.name) - 1
    bench.last_box = ledger.box(serial(bench.setup.name, closed)) if closed else None
    bench.person = ledger.last_person(bench.setup.name)
    checked = ledger.last_check(bench.setup.name)
    bench.failed_check = checked is not None and checked.check.outcome is CheckOutcome.FAILED
    chosen = ledger.last_choice(bench.setup.name)
    if chosen is not None:
        _choose_again(shed, bench, chosen, shed.setup)
    audit = ledger.audit_going(bench.setup.name)
    if audit is not None:
        auditing.go_on(shed, bench, audit)
    left = ledger.open_box(bench.setup.name)
    if left is not None:
        tare, tare_by = parse_mass(str(left["tare"])), TareBy(left["tare_by"])
        bench.resume(tare, tare_by, typed=bool(left.get("by_hand")))
