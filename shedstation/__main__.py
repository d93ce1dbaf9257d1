"""Start the program; say the world's faults in a sentence, save a report of our own."""

import sys
import traceback
from typing import Final

from shedstation.bootstrap.faults import save_report
from shedstation.cli import cli, data_folder
from shedstation.words import Words

OUR_FAULT: Final = 70


def main() -> None:
    """Run the command line."""
    try:
        cli.main(standalone_mode=True)
    except Exception:  # noqa: BLE001  # the last resort: what is left is our own fault
        said = save_report(data_folder(None), traceback.format_exc())
        sys.stderr.write(f"{Words('en').text('cli.own_fault', report=said)}\n")
        sys.exit(OUR_FAULT)


if __name__ == "__main__":
    main()
