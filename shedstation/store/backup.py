"""Make verified backups, and restore them."""

import json
import os
import re
import sqlite3
from collections.abc import Mapping
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from sqlalchemy import Engine

from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message
from shedstation.store.chain_check import chain_findings
from shedstation.store.check import check
from shedstation.store.connect import FILE_NAME, reader_engine
from shedstation.store.ledger import SqlLedger
from shedstation.store.reading import current_reader
from shedstation.store.schema import known_version

_STAMP: Final = re.compile(r"[^0-9TZ]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """A backup that was made, opened again and found whole."""

    file: Path
    facts: int
    heads: Mapping[str, str]


def make_backup(engine: Engine, folder: Path, *, at: str) -> Backup:
    """Make a verified copy of the database in a folder, named after its time.

    Args:
        engine: The writer's engine.
        folder: Where backups go.
        at: UTC time, ISO 8601; becomes part of the file's name.

    Raises:
        WorldFault: if the folder is gone or full or the copy is not whole; earlier backups stay.
    """
    return verified_copy(engine, folder / f"shed-{_STAMP.sub('', at)}.backup")


def verified_copy(engine: Engine, target: Path) -> Backup:
    """Copy the database, verify the copy, and only then give it its name.

    Raises:
        WorldFault: if the folder is gone or full or the copy is not whole; earlier backups stay.
    """
    folder, part = target.parent, target.with_suffix(".part")
    try:
        if not folder.is_dir():
            raise _fault(folder, "the folder is not there")
        _copy(engine, part)
        facts, heads = inspect(part)
        _settle(part, target, heads)
    except (OSError, sqlite3.Error) as error:
        raise _fault(folder, str(error)) from error
    finally:
        _remove(part)
    return Backup(file=target, facts=facts, heads=heads)


def _fault(folder: Path, why: str) -> WorldFault:
    return WorldFault(Message("store.backup_failed", {"folder": str(folder), "why": why}))


def _remove(part: Path) -> None:
    try:
        part.unlink(missing_ok=True)
    except OSError:
        return  # The medium is gone; a later backup removes what was left.


def _copy(engine: Engine, part: Path) -> None:
    part.unlink(missing_ok=True)
    raw = engine.raw_connection()
    try:
        with closing(sqlite3.connect(part)) as copy:
            raw.driver_connection.backup(copy)  # type: ignore[union-attr]  # a sqlite3 connection
            # One plain file: a copy in WAL mode would leave side files on the medium.
            copy.execute("PRAGMA journal_mode=DELETE").close()
    finally:
        raw.close()


def inspect(file: Path) -> tuple[int, dict[str, str]]:
    """Open a backup and check it from end to end; give its facts' number and chain heads.

    Raises:
        WorldFault: if it is not a whole backup of a version this program knows.
    """
    engine = reader_engine(file.parent, file.name)
    try:
        with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)) as copy:
            said = copy.execute("PRAGMA quick_check").fetchone()[0]
        if said != "ok":
            raise WorldFault(Message("store.backup_damaged", {"file": str(file), "why": said}))
        known_version(engine, file)
        ledger = SqlLedger(engine, file.parent)
        wrong = chain_findings(ledger.facts())
        if wrong:
            raise WorldFault(Message("store.backup_damaged", {"file": str(file), "why": wrong[0]}))
        return ledger.facts_count(), ledger.heads()
    except sqlite3.Error as error:
        values = {"file": str(file), "why": str(error)}
        raise WorldFault(Message("store.backup_damaged", values)) from error
    finally:
        engine.dispose()


def _check_tables(file: Path) -> None:
    """Check what takes longer than a backup may: whether the tables are what the facts make."""
    engine = current_reader(file.parent, file.name)
    try:
        damage = check(SqlLedger(engine, file.parent)).damage
    finally:
        engine.dispose()
    if damage:
        raise WorldFault(Message("store.backup_damaged", {"file": str(file), "why": damage[0]}))


def _settle(part: Path, target: Path, heads: Mapping[str, str]) -> None:
    _sync(part)
    part.replace(target)
    beside = target.with_suffix(".heads.json")
    beside.write_text(json.dumps(dict(heads), indent=1) + "\n", encoding="utf-8")
    _sync(beside)
    _sync(target.parent)


def _sync(path: Path) -> None:
    if path.is_dir() and os.name == "nt":
        return  # Windows has no way to sync a folder.
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def restore(file: Path, folder: Path) -> int:
    """Restore a backup into an empty or new data folder; give the number of facts.

    Raises:
        WorldFault: if the backup is not whole or the folder has something in it.
    """
    if not file.is_file():
        raise WorldFault(Message("files.cannot_read", {"file": str(file), "why": "not there"}))
    if folder.exists() and any(folder.iterdir()):
        raise WorldFault(Message("store.not_empty", {"folder": str(folder)}))
    facts, _ = inspect(file)
    _check_tables(file)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        part = folder / f"{FILE_NAME}.part"
        part.write_bytes(file.read_bytes())
        _sync(part)
        part.replace(folder / FILE_NAME)
        _sync(folder)
    except OSError as error:
        values = {"folder": str(folder), "why": error.strerror or str(error)}
        raise WorldFault(Message("store.cannot_write", values)) from error
    return facts
