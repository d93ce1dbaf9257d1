"""Data of an earlier version is lifted after a backup, or left exactly as it was."""

import shutil
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from shedstation.bootstrap.headless import check_data, open_ledger, reading_ledger, restore_backup
from shedstation.domain.errors import WorldFault
from shedstation.store import schema

YESTERDAY = Path(__file__).parents[2] / "yesterday"
DAY = date(2026, 6, 18)


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """Data that version 1 wrote."""
    shutil.copytree(YESTERDAY / "v1", tmp_path / "data")
    return tmp_path / "data"


def version(file: Path) -> int:
    with closing(sqlite3.connect(file)) as raw:
        return int(raw.execute("PRAGMA user_version").fetchone()[0])


def columns(file: Path) -> dict[str, list[tuple[object, ...]]]:
    with closing(sqlite3.connect(f"file:{file}?immutable=1", uri=True)) as raw:
        names = raw.execute("SELECT name FROM sqlite_master WHERE type IN ('table', 'index')")
        return {
            name: raw.execute(f"PRAGMA table_info({name})").fetchall()
            for (name,) in sorted(names.fetchall())
        }


def test_that_old_data_is_lifted_and_an_untouched_backup_lies_beside_it(old: Path) -> None:
    with reading_ledger(old) as ledger:
        before = ledger.day_record(DAY)
    with open_ledger(old) as ledger:
        assert ledger.day_record(DAY) == before
    assert version(old / "shed.db") == schema.VERSION == 3
    assert version(old / "shed-form-1.backup") == 1
    assert (old / "shed-form-1.heads.json").is_file()
    assert check_data(old).damage == ()


def test_that_lifted_tables_are_those_of_new_data(old: Path, tmp_path: Path) -> None:
    with open_ledger(old), open_ledger(tmp_path / "new"):
        pass
    assert columns(old / "shed.db") == columns(tmp_path / "new" / "shed.db")


def test_that_a_backup_of_an_earlier_version_restores(old: Path, tmp_path: Path) -> None:
    with open_ledger(old) as ledger:
        wanted = ledger.day_record(DAY)
    assert restore_backup(old / "shed-form-1.backup", tmp_path / "again") > 0
    with open_ledger(tmp_path / "again") as ledger:
        assert ledger.day_record(DAY) == wanted


def test_that_lifting_is_done_once_and_writes_over_no_earlier_backup(old: Path) -> None:
    (old / "shed-form-1.backup").write_text("an earlier one")
    for _ in range(2):
        with open_ledger(old):
            pass
    assert (old / "shed-form-1.backup").read_text() == "an earlier one"
    assert version(old / "shed-form-1-2.backup") == 1
    assert not (old / "shed-form-1-3.backup").exists()


def test_that_without_a_backup_nothing_is_lifted(old: Path) -> None:
    (old / "shed-form-1.part").mkdir()
    with pytest.raises(WorldFault, match="backup_failed"), open_ledger(old):
        pass
    assert version(old / "shed.db") == 1
    (old / "shed-form-1.part").rmdir()
    with open_ledger(old) as ledger:
        assert ledger.day_exists(DAY)


def test_that_a_lift_that_breaks_off_leaves_the_old_tables(
    old: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def half(conn: object) -> None:
        schema._from_1(conn)  # type: ignore[arg-type]  # a connection
        raise KeyboardInterrupt

    monkeypatch.setattr(schema, "_STEPS", {1: half})
    with pytest.raises(KeyboardInterrupt), open_ledger(old):
        pass
    assert version(old / "shed.db") == 1
    assert columns(old / "shed.db") == columns(YESTERDAY / "v1" / "shed.db")


def test_that_only_reading_changes_nothing_of_old_data(old: Path) -> None:
    before = {path.name: path.read_bytes() for path in old.iterdir()}
    with reading_ledger(old) as ledger:
        assert len(ledger.boxes_on(DAY)) == 66
    assert check_data(old).damage == ()
    assert {name: (old / name).read_bytes() for name in before} == before
    assert not list(old.glob("*.backup"))


def test_that_an_older_program_refuses_newer_data(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_ledger(tmp_path / "data"):
        pass
    monkeypatch.setattr(schema, "VERSION", 1)
    with pytest.raises(WorldFault, match="newer_schema"), open_ledger(tmp_path / "data"):
        pass
    with pytest.raises(WorldFault, match="newer_schema"), reading_ledger(tmp_path / "data"):
        pass
