"""The ledger, its rebuild, its lock, its backups and what it says when the world is at fault."""

import json
import sqlite3
from pathlib import Path

import pytest
from driving import DAY, Driver, Spool
from sqlalchemy import select, text

from shedstation.bootstrap.headless import check_data, open_ledger, reading_ledger, trace_code
from shedstation.domain.chain import derived_uid
from shedstation.domain.errors import WorldFault
from shedstation.domain.facts import Draft, Kind
from shedstation.domain.farm import Setup
from shedstation.station.actions import CloseBox, Correct, OpenDay, TareBox, VoidBox
from shedstation.store import tables as t
from shedstation.store.backup import make_backup, restore
from shedstation.store.check import check
from shedstation.store.ledger import SqlLedger
from shedstation.store.rebuild import differing_tables, rebuild

AT = "2026-06-18T20:00:00.000Z"


def pack(bench: Driver, boxes: int) -> None:
    for _ in range(boxes):
        bench.shows("0.00")
        bench.shows("1.64")
        bench.ask(TareBox)
        bench.shows("26.74")
        bench.ask(CloseBox)
    bench.shows("0.00")
    while bench.station.print_next(bench.now):
        pass


def content(ledger: SqlLedger) -> dict[str, list[tuple[object, ...]]]:
    with ledger.connection() as conn:
        return {
            table.name: sorted((tuple(row) for row in conn.execute(select(table))), key=repr)
            for table in t.QUERY_TABLES
        }


def busy_day(bench: Driver) -> None:
    pack(bench, 3)
    bench.receive("L2", "UT", "KEITT")
    bench.ask(Correct, what="box", which=("#2",), set={"load": "L2"}, reason="slip")
    bench.ask(VoidBox, serial="#1", reason="slip")
    bench.ask(VoidBox, serial="#1", reason="twice")


def test_that_a_rebuild_gives_the_same_tables(bench: Driver, ledger: SqlLedger) -> None:
    busy_day(bench)
    before = content(ledger)
    with ledger.connection() as conn:
        assert differing_tables(conn) == []
        rebuild(conn)
    assert content(ledger) == before


def test_that_a_failed_record_leaves_nothing_behind(bench: Driver, ledger: SqlLedger) -> None:
    assert bench.station.day == DAY
    facts = ledger.facts_count()
    good = Draft(kind=Kind.ROOM_READ, bench="B1", at=AT, by=None, payload={"room": "X"})
    bad = Draft(kind=Kind.BOX_CLOSED, bench="B1", at=AT, by=None, payload={"serial": "B1-000001"})
    with pytest.raises(Exception, match="NOT NULL"):
        ledger.record([good, bad])
    assert ledger.facts_count() == facts
    ledger.record([good])
    assert check(ledger).damage == ()


def test_that_a_changed_row_shows_in_the_check(bench: Driver, tmp_path: Path) -> None:
    busy_day(bench)
    with sqlite3.connect(tmp_path / "data" / "shed.db") as raw:
        raw.execute("UPDATE boxes SET net='99.99 lb' WHERE serial='B1-000003'")
    names = [each.name for each in check_data(tmp_path / "data").damage]
    assert names == ["store.table_differs"]


@pytest.mark.parametrize(
    ("change", "name"),
    [
        (
            "UPDATE facts SET payload=replace(payload, '25.10', '25.90') WHERE kind='box_closed'",
            "fact_changed",
        ),
        ("DELETE FROM facts WHERE seq=4", "fact_missing"),
    ],
)
def test_that_a_changed_or_missing_fact_shows(
    bench: Driver, tmp_path: Path, change: str, name: str
) -> None:
    busy_day(bench)
    with sqlite3.connect(tmp_path / "data" / "shed.db") as raw:
        raw.execute(change)
    assert f"store.{name}" in [each.name for each in check_data(tmp_path / "data").damage]


def test_that_a_cut_tail_shows_against_the_printed_head(bench: Driver, tmp_path: Path) -> None:
    busy_day(bench)
    printed = bench.ledger.day_record(DAY).heads["B1"]
    with sqlite3.connect(tmp_path / "data" / "shed.db") as raw:
        raw.execute("DELETE FROM facts WHERE nr=(SELECT max(nr) FROM facts)")
    assert check_data(tmp_path / "data").heads["B1"] != printed


def test_that_what_waits_for_a_person_is_told(bench: Driver, tmp_path: Path) -> None:
    bench.spool.refuses = 1
    pack(bench, 1)
    bench.shows("1.64")
    bench.ask(TareBox)
    names = {each.name for each in check_data(tmp_path / "data").waiting}
    assert names == {"store.label_failed", "store.day_left_open", "store.box_left_open"}


def test_that_a_backup_is_whole_and_restores_to_the_same_day(bench: Driver, tmp_path: Path) -> None:
    busy_day(bench)
    target = tmp_path / "stick"
    target.mkdir()
    made = make_backup(bench.ledger.engine, target, at=AT)
    assert made.facts == bench.ledger.facts_count()
    heads = json.loads((target / "shed-20260618T200000000Z.heads.json").read_text())
    assert heads == bench.ledger.heads()
    assert restore(made.file, tmp_path / "new") == made.facts
    with reading_ledger(tmp_path / "new") as restored:
        assert restored.day_record(DAY) == bench.ledger.day_record(DAY)


def test_that_a_medium_that_is_gone_costs_no_earlier_backup(bench: Driver, tmp_path: Path) -> None:
    pack(bench, 1)
    target = tmp_path / "stick"
    target.mkdir()
    first = make_backup(bench.ledger.engine, target, at=AT)
    with pytest.raises(WorldFault, match="backup_failed"):
        make_backup(bench.ledger.engine, tmp_path / "pulled-out", at=AT)
    assert restore(first.file, tmp_path / "new") == first.facts


def test_that_a_medium_gone_half_way_leaves_no_half_backup(
    bench: Driver, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pack(bench, 1)
    target = tmp_path / "stick"
    target.mkdir()
    first = make_backup(bench.ledger.engine, target, at=AT)

    def pulled_out(_handle: int) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr("shedstation.store.backup.os.fsync", pulled_out)
    with pytest.raises(WorldFault, match="backup_failed"):
        make_backup(bench.ledger.engine, target, at="2026-06-19T20:00:00.000Z")
    names = sorted(path.name for path in target.iterdir())
    assert names == [first.file.name, "shed-20260618T200000000Z.heads.json"]


def test_that_a_damaged_backup_is_not_restored(bench: Driver, tmp_path: Path) -> None:
    pack(bench, 1)
    target = tmp_path / "stick"
    target.mkdir()
    made = make_backup(bench.ledger.engine, target, at=AT)
    data = bytearray(made.file.read_bytes())
    place = data.index(b"26.74 lb")
    data[place : place + 2] = b"99"
    made.file.write_bytes(data)
    with pytest.raises(WorldFault, match="backup_damaged"):
        restore(made.file, tmp_path / "new")
    assert not (tmp_path / "new").exists()


def test_that_a_folder_with_something_in_it_is_not_restored_into(
    bench: Driver, tmp_path: Path
) -> None:
    target = tmp_path / "stick"
    target.mkdir()
    made = make_backup(bench.ledger.engine, target, at=AT)
    with pytest.raises(WorldFault, match="not_empty"):
        restore(made.file, tmp_path / "data")


def test_that_a_second_station_on_the_same_data_is_refused(ledger: SqlLedger) -> None:
    with pytest.raises(WorldFault, match="already_open"), open_ledger(ledger.folder):
        pass


def test_that_data_of_a_later_version_is_refused_and_left_alone(tmp_path: Path) -> None:
    with open_ledger(tmp_path / "data"):
        pass
    with sqlite3.connect(tmp_path / "data" / "shed.db") as raw:
        raw.execute("PRAGMA user_version=99")
    with pytest.raises(WorldFault, match="newer_schema"), open_ledger(tmp_path / "data"):
        pass
    with pytest.raises(WorldFault, match="newer_schema"), reading_ledger(tmp_path / "data"):
        pass


def test_that_a_file_that_is_no_database_is_told(tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "shed.db").write_text("not a database, but long enough to look at" * 50)
    with pytest.raises(WorldFault, match="not_a_database"), open_ledger(tmp_path / "data"):
        pass


def test_that_a_full_disk_is_one_sentence_and_loses_nothing(
    bench: Driver, ledger: SqlLedger
) -> None:
    pack(bench, 1)
    with ledger.engine.connect() as conn:
        pages = conn.execute(text("PRAGMA page_count")).scalar_one()
        conn.execute(text(f"PRAGMA max_page_count={pages}"))
    with pytest.raises(WorldFault, match="disk_full"):
        pack(bench, 40)
    acknowledged = bench.view.last_box
    assert acknowledged is not None
    assert acknowledged == bench.boxes[-1]
    with ledger.engine.connect() as conn:
        conn.execute(text("PRAGMA max_page_count=1000000"))
    assert check(ledger).damage == ()
    bench.shows("0.00")
    pack(bench, 1)


def test_that_a_folder_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(WorldFault, match="cannot_write"), open_ledger(tmp_path / "file" / "data"):
        pass


def test_that_a_read_only_database_is_one_sentence(bench: Driver, ledger: SqlLedger) -> None:
    with ledger.engine.connect() as conn:
        conn.execute(text("PRAGMA query_only=ON"))
    facts = ledger.facts_count()
    with pytest.raises(WorldFault, match="read_only"):
        bench.receive("L7", "WR", "KENT")
    assert ledger.facts_count() == facts


def test_that_reading_goes_on_while_a_station_is_open(bench: Driver, tmp_path: Path) -> None:
    pack(bench, 2)
    found = trace_code(tmp_path / "data", "B1-000002")
    assert found["kind"] == "box"
    lot = trace_code(tmp_path / "data", "(01)19521234000010(10)616901")
    assert lot["kind"] == "lot"
    with pytest.raises(WorldFault, match="nothing_by_code"):
        trace_code(tmp_path / "data", "B1-000009")


def test_that_scanning_an_old_label_says_so(bench: Driver, tmp_path: Path) -> None:
    pack(bench, 1)
    bench.receive("L2", "UT", "KEITT")
    bench.ask(Correct, what="box", which=("#1",), set={"load": "L2"}, reason="slip")
    old = trace_code(tmp_path / "data", "B1-000001")["box"]
    new = trace_code(tmp_path / "data", "B1-000001/2")["box"]
    assert isinstance(old, dict)
    assert isinstance(new, dict)
    assert (old["scanned_label_is_old"], new["scanned_label_is_old"]) == (True, False)
    assert old["right_label"] == "B1-000001/2"


def test_that_the_same_actions_give_the_same_facts(sample_setup: Setup, tmp_path: Path) -> None:
    heads = []
    for name in ("one", "two"):
        with open_ledger(tmp_path / name, make_uid=derived_uid) as ledger:
            driver = Driver(ledger, sample_setup, Spool())
            driver.open_day()
            busy_day(driver)
            heads.append(ledger.heads())
    assert heads[0] == heads[1]


def test_that_an_open_day_is_still_open_after_a_stop(bench: Driver, sample_setup: Setup) -> None:
    again = Driver(bench.ledger, sample_setup, Spool())
    assert again.station.day == DAY
    assert again.code(OpenDay, date=DAY) == "day_already_open"


@pytest.mark.parametrize("content", [b"", "another program's table"])
def test_that_another_file_is_no_stations_data(tmp_path: Path, content: bytes | str) -> None:
    file = tmp_path / "shed.db"
    file.write_bytes(b"")
    if isinstance(content, str):
        with sqlite3.connect(file) as other:
            other.execute("CREATE TABLE songs (name TEXT)")
        other.close()
    for ask in (lambda: check_data(tmp_path), lambda: restore(file, tmp_path / "new")):
        with pytest.raises(WorldFault, match="not_ours"):
            ask()


@pytest.mark.parametrize("name", ["a?b", "a%20b", "a#b"])
def test_that_a_folder_may_have_any_name(tmp_path: Path, name: str, sample_setup: Setup) -> None:
    folder = tmp_path / name / "data"
    with open_ledger(folder, make_uid=derived_uid) as ledger:
        bench = Driver(ledger, sample_setup, Spool())
        bench.open_day()
        pack(bench, 1)
        backups = tmp_path / name / "backups"
        backups.mkdir()
        made = make_backup(ledger.engine, backups, at=AT)
    assert (folder / "shed.db").is_file()
    assert check_data(folder).damage == ()
    assert restore(made.file, tmp_path / name / "again") == made.facts
