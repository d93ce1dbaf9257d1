"""Start the program; say the world's faults in a sentence, save a report of our own."""

import sys
import traceback
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from shedstation import __version__
from shedstation.cli import cli, data_folder
from shedstation.domain.errors import ShedError

OUR_FAULT: Final = 70


def main() -> None:
    """Run the command line."""
    try:
        cli.main(standalone_mode=True)
    except ShedError:
        raise
    except Exception:  # noqa: BLE001  # the last resort: what is left is our own fault
        sys.exit(report(traceback.format_exc()))


def report(text: str) -> int:
    """Save a report beside the data and say where; give the exit status."""
    now = datetime.now(UTC)
    body = f"shedstation {__version__}, {now.isoformat()}\n{' '.join(sys.argv)}\n\n{text}"
    try:
        folder = data_folder(None)
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / f"fault-{now.strftime('%Y%m%dT%H%M%S')}.txt"
        path.write_text(body, encoding="utf-8")
        said: str | Path = path
    except OSError:
        said = body
    sys.stderr.write(f"The station has a fault of its own. The day is intact. Report: {said}\n")
    return OUR_FAULT


if __name__ == "__main__":
    main()
