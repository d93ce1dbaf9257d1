"""Save a report of our own faults beside the data."""

import sys
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

from shedstation import __version__


def save_report(folder: Path, text: str) -> str:
    """Save a report and give where it is; if even that fails, give the report itself."""
    now = datetime.now(UTC)
    body = f"shedstation {__version__}, {now.isoformat()}\n{' '.join(sys.argv)}\n\n{text}"
    path = folder / f"fault-{now.strftime('%Y%m%dT%H%M%S')}.txt"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        path.write_text(body, encoding="utf-8")
    except OSError:
        return body
    return str(path)


def saver_in(folder: Path) -> Callable[[str], str]:
    """Give what saves reports in a data folder."""
    return partial(save_report, folder)
