"""Read a whole shed day from its folder."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Final

from shedstation.dayfolder.actions_file import read_actions
from shedstation.dayfolder.station_file import read_station_file
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import Setup
from shedstation.domain.message import Message
from shedstation.station.actions import Action, OpenDay

STATION: Final = "station.toml"
ACTIONS: Final = "actions.jsonl"
ONE_CAPTURE: Final = "scale.cap"


@dataclass(frozen=True, slots=True, kw_only=True)
class DayFolder:
    """One shed day as its folder tells it."""

    folder: Path
    setup: Setup
    actions: tuple[Action, ...]
    captures: Mapping[str, Path]
    """Capture by bench."""

    dates: tuple[date, ...]
    """The days its actions open."""


def read_day(folder: Path) -> DayFolder:
    """Read a day's folder.

    Raises:
        BadFile: with every finding in the station file, or else in the actions.
        WorldFault: if a file is missing or cannot be read.
    """
    if not folder.is_dir():
        raise WorldFault(Message("files.no_folder", {"folder": str(folder)}))
    setup = read_station_file(folder / STATION)
    actions = read_actions(folder / ACTIONS, setup)
    return DayFolder(
        folder=folder,
        setup=setup,
        actions=actions,
        captures=_captures(folder, setup),
        dates=tuple(action.date for action in actions if isinstance(action, OpenDay)),
    )


def _captures(folder: Path, setup: Setup) -> dict[str, Path]:
    names = [bench.name for bench in setup.benches]
    single = folder / ONE_CAPTURE
    if len(names) == 1 and single.is_file():
        return {names[0]: single}
    found = {name: folder / f"{name}.cap" for name in names if (folder / f"{name}.cap").is_file()}
    if len(found) < len(names):
        missing = [f"{name}.cap" for name in names if name not in found]
        values = {"folder": str(folder), "missing": missing}
        raise WorldFault(Message("files.no_capture", values))
    return found
