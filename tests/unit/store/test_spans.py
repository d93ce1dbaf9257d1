"""Questions over several days: fills and culls, counted by the tables themselves."""

from dataclasses import replace
from datetime import timedelta

from driving import DAY, Driver

from shedstation.domain.culls import Where
from shedstation.domain.mass import parse_mass
from shedstation.station.actions import (
    Choose,
    CloseBox,
    CloseDay,
    EnterCull,
    OpenDay,
    TareBox,
    VoidBox,
)
from shedstation.store.ledger import SqlLedger

NEXT = DAY + timedelta(days=1)


def pack(bench: Driver, gross: str, count: int | None = None) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.ask(TareBox)
    bench.shows(gross)
    bench.ask(CloseBox, count=count)


def cull(bench: Driver, count: int | None, weight: str | None = None) -> None:
    mass = None if weight is None else parse_mass(weight)
    bench.ask(EnterCull, load="L1", defect="CUT", where=Where.BENCH, count=count, weight=mass)


def two_days(bench: Driver) -> None:
    pack(bench, "26.74", 20)
    pack(bench, "26.80", 22)
    pack(bench, "26.90")
    bench.ask(VoidBox, serial="#3", reason="slip")
    cull(bench, 2)
    cull(bench, 5)
    bench.ask(CloseDay)
    bench.ask(OpenDay, date=NEXT)
    bench.ask(Choose, load="L1", pack="Flat 25 lb", grade="1")
    pack(bench, "26.84")
    cull(bench, None, "1.20 lb")


def test_that_fills_are_those_of_the_boxes_that_stand(bench: Driver, ledger: SqlLedger) -> None:
    two_days(bench)
    standing = [box for day in (DAY, NEXT) for box in ledger.boxes_on(day) if not box.voided]
    fills = ledger.fills_between(DAY, NEXT)
    assert [(each.net, each.packed_on, each.by) for each in fills] == [
        (box.net, box.packed_on, box.by) for box in standing
    ]
    assert [str(each.net) for each in ledger.fills_between(NEXT, NEXT)] == ["25.20 lb"]
    assert ledger.fills_between(NEXT + timedelta(days=1), NEXT + timedelta(days=9)) == ()


def test_that_culls_are_counted_day_by_day(bench: Driver, ledger: SqlLedger) -> None:
    two_days(bench)
    first, second = ledger.cull_days(DAY - timedelta(days=3), NEXT)
    assert (first.day, first.culled, first.uncounted_entries) == (DAY, 7, 0)
    assert (first.boxes, first.fruit, first.uncounted_boxes) == (2, 42, 0)
    assert (second.culled, second.uncounted_entries) == (0, 1)
    assert (second.boxes, second.fruit, second.uncounted_boxes) == (1, 0, 1)


def test_that_a_day_without_anything_is_not_counted(bench: Driver, ledger: SqlLedger) -> None:
    del bench
    assert ledger.cull_days(DAY, DAY) == ()


def test_that_a_day_keeps_the_target_it_was_packed_to(bench: Driver, ledger: SqlLedger) -> None:
    two_days(bench)
    bench.shows("0.00")
    bench.ask(CloseDay)
    setup = ledger.setup()
    assert setup is not None
    higher = replace(setup.packs[0], target=parse_mass("25.20 lb"))
    bench.station.set_up(replace(setup, packs=(higher, *setup.packs[1:])), at_s=bench.now)
    bench.ask(OpenDay, date=NEXT + timedelta(days=1))
    found = ledger.targets_between("Flat 25 lb", DAY, NEXT + timedelta(days=1))
    assert [str(target) for _, target in sorted(found.items())] == [
        "25.00 lb", "25.00 lb", "25.20 lb"
    ]  # fmt: skip
    assert ledger.targets_between("no such pack", DAY, NEXT) == {}
