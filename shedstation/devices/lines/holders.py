"""Find out which program has a port open, as far as the system tells it."""

import os
import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

PROC: Final = Path("/proc")
_CONSOLE: Final = re.compile(r"getty$|^login$")


@dataclass(frozen=True, slots=True)
class Holder:
    """A program that has a port open."""

    program: str
    is_console: bool = False
    """Whether it is the system's own console, for messages or for logging in."""


def holder_of(device: str, proc: Path = PROC) -> Holder | None:
    """Find who else has a port open; none where nothing can be known.

    Args:
        device: The port's name.
        proc: Where the system shows its processes; other systems have no such place.
    """
    if not proc.is_dir():
        return None
    real = os.path.realpath(device)
    if _is_system_console(real, proc):
        return Holder("console", is_console=True)
    return next(_programs_at(real, proc), None)


def _is_system_console(device: str, proc: Path) -> bool:
    """Tell whether the system was started with its messages going to this port."""
    with suppress(OSError):
        started_with = (proc / "cmdline").read_text(encoding="utf-8", errors="replace")
        names = re.findall(r"(?:^|\s)console=([^\s,]+)", started_with)
        return Path(device).name in names
    return False


def _programs_at(device: str, proc: Path) -> Iterator[Holder]:
    for process in proc.iterdir():
        if process.name.isdecimal() and int(process.name) != os.getpid():
            # Processes end while they are looked at, and other people's files are not shown.
            with suppress(OSError):
                program = (process / "comm").read_text(encoding="utf-8", errors="replace").strip()
                is_console = bool(_CONSOLE.search(program))
                if is_console and _is_started_on(device, process):
                    yield Holder(program, is_console=True)
                elif _has_open(device, process):
                    yield Holder(program, is_console=is_console)


def _is_started_on(device: str, process: Path) -> bool:
    """Tell from its command line, which everybody may see, whether a console is on the port."""
    words = (process / "cmdline").read_bytes().split(b"\0")
    return Path(device).name in {Path(os.fsdecode(word)).name for word in words if word}


def _has_open(device: str, process: Path) -> bool:
    for each in (process / "fd").iterdir():
        with suppress(OSError):
            if os.readlink(each) == device:  # noqa: PTH115  # a text: such a link may lead nowhere
                return True
    return False
