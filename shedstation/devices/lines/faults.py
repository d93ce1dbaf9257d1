"""Tell from what a port raises what is wrong with it and what to do."""

import errno
import socket
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final, Protocol

from shedstation.devices.lines.holders import Holder, holder_of
from shedstation.domain.errors import WorldFault
from shedstation.domain.line_state import LineState
from shedstation.domain.message import Message


def port_faults() -> tuple[type[Exception], ...]:
    """Give what a dead port raises: three kinds by the call, and two more when closed meanwhile."""
    faults: tuple[type[Exception], ...] = (OSError, TypeError, ValueError)
    with suppress(ImportError):
        import termios  # noqa: PLC0415  # not on Windows

        faults = (*faults, termios.error)
    return faults


PORT_FAULTS: Final = port_faults()

_STATES: Final[Mapping[int, LineState]] = {
    errno.EACCES: LineState.NOT_ALLOWED,
    errno.EPERM: LineState.NOT_ALLOWED,
    errno.EBUSY: LineState.TAKEN,
    errno.EAGAIN: LineState.TAKEN,
    errno.ENOTTY: LineState.UNFIT,
    errno.EINVAL: LineState.UNFIT,
    errno.EISDIR: LineState.UNFIT,
    errno.ECONNREFUSED: LineState.TURNED_AWAY,
    errno.ETIMEDOUT: LineState.NO_ANSWER,
    errno.EHOSTUNREACH: LineState.NO_ANSWER,
    errno.ENETUNREACH: LineState.NO_ANSWER,
    errno.ECONNRESET: LineState.HUNG_UP,
    errno.ECONNABORTED: LineState.HUNG_UP,
    errno.EPIPE: LineState.HUNG_UP,
}
"""Every other number means that the port is not there."""

_DENIED: Final = "PermissionError"
"""On Windows a port that is in use is said to be denied, and only the text of the fault says it."""


class LineFault(WorldFault):
    """A line that cannot be read, with the state that names why."""

    def __init__(self, state: LineState, message: Message, why: str = "") -> None:
        """Carry state, sentence, and the system's own words."""
        super().__init__(message)
        self.state = state
        self.why = why


class Named(Protocol):
    """What can be called by a name in sentences."""

    @property
    def port(self) -> str | Message:
        """Get its name of today, or what tells it from others."""


@contextmanager
def at_port(line: Named) -> Iterator[None]:
    """Turn what a port raises inside into a `LineFault`.

    Raises:
        LineFault: for everything in `PORT_FAULTS`, and for a fault of the world.
    """
    try:
        yield
    except LineFault:
        raise
    except WorldFault as fault:
        raise LineFault(LineState.UNFIT, fault.message) from fault
    except PORT_FAULTS as fault:
        state = _state_of(fault)
        raise LineFault(state, sentence(state, line.port, str(fault)), str(fault)) from fault


def sentence(state: LineState, port: str | Message, why: str = "") -> Message:
    """Say what is wrong with a port in some state and what to do.

    Args:
        state: The state.
        port: What sentences call the port.
        why: The system's own words, where they help.
    """
    values: dict[str, object] = {"port": port}
    if state in (LineState.UNFIT, LineState.OUR_FAULT):
        return Message(f"line.{state.value}", {**values, "why": why})
    if state is LineState.NOT_ALLOWED:
        return _not_allowed(port)
    holder = holder_of(port) if state in _HELD and isinstance(port, str) else None
    if holder is not None:
        return _held(state, port, holder)
    return Message(f"line.{state.value}", values)


_HELD: Final = frozenset({LineState.TAKEN, LineState.WRONG_DATA, LineState.SILENT})
"""States that another program at the same port explains."""


def _held(state: LineState, port: str | Message, holder: Holder) -> Message:
    if holder.is_console:
        return Message("line.console", {"port": port})
    if state is LineState.TAKEN:
        return Message("line.taken_by", {"port": port, "program": holder.program})
    return Message("line.shared", {"port": port, "program": holder.program})


def _not_allowed(port: str | Message) -> Message:
    """Name the group that owns the port, where there are groups."""
    with suppress(ImportError, OSError, KeyError):
        import grp  # noqa: PLC0415  # not on Windows

        group = grp.getgrgid(Path(str(port)).stat().st_gid).gr_name
        return Message("line.not_allowed_group", {"port": port, "group": group})
    return Message("line.not_allowed", {"port": port})


def _state_of(fault: BaseException) -> LineState:
    if isinstance(fault, TimeoutError | socket.gaierror):
        return LineState.NO_ANSWER
    number = _number(fault)
    if number is not None:
        return _STATES.get(number, LineState.GONE)
    return LineState.TAKEN if _DENIED in str(fault) else LineState.GONE


def _number(fault: BaseException | None) -> int | None:
    """Find the system's number of a fault, or of the fault it was raised for."""
    while fault is not None:
        first = fault.args[0] if fault.args else None
        if isinstance(first, int) and first in errno.errorcode:
            return first
        fault = fault.__cause__ or fault.__context__
    return None
