"""Find a scale on a port or in a capture."""

import time
from collections.abc import Iterator, Sequence
from itertools import islice
from pathlib import Path
from typing import Final

from shedstation.devices.capture import Chunk, read_capture
from shedstation.devices.languages.language import Language, Wire
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.devices.lines.finder import SPEEDS, ScaleFinder, listen_to_capture
from shedstation.devices.lines.hearing import Setting
from shedstation.devices.lines.hid import PREFIX as HID
from shedstation.devices.lines.hid import hid_scales
from shedstation.devices.lines.opening import transport_to
from shedstation.devices.lines.ports import check_port, existing_ports, port_choices
from shedstation.devices.lines.tcp import PREFIX as NETWORK
from shedstation.devices.lines.transport import Transport
from shedstation.domain.line_report import PortChoice
from shedstation.domain.message import Message
from shedstation.domain.scale_found import Found, Step, Sure

_MOST_CHUNKS: Final = 20_000
_WORTH: Final = {Sure.SURE: 1.0, Sure.LIKELY: 0.75, Sure.NOT_SURE: 0.4, Sure.NOTHING: 0.0}
"""What the share of frames read is worth: read alike in two ways, it says little."""


def find_scale(
    where: str, *, ask: bool, languages: Sequence[Language] = LANGUAGES
) -> Iterator[Step]:
    """Find out which language a scale speaks and at which settings; the last step is what was found.

    Args:
        where: A capture's file, or a port.
        ask: Whether what makes a scale send one reading may be sent.
        languages: What may be spoken.

    Raises:
        WorldFault: if the port or the capture cannot be read.
    """
    if Path(where).is_file():
        chunks = (each for each in read_capture(Path(where)) if isinstance(each, Chunk))
        yield listen_to_capture(list(islice(chunks, _MOST_CHUNKS)), languages)
        return
    yield from _finder(where, languages).search(ask=ask)


def _finder(port: str, languages: Sequence[Language]) -> ScaleFinder:
    wire = _wire_of(port)
    if wire is Wire.SERIAL:
        check_port(port)

    def open_at(setting: Setting) -> Transport:
        return transport_to(
            port, baud=setting.baud or SPEEDS[0], bits=setting.bits, just_chosen=True
        )

    speeds = SPEEDS if wire is Wire.SERIAL else (None,)
    spoken = [each for each in languages if wire in each.wires]
    return ScaleFinder(open_at, time.monotonic, speeds=speeds, languages=spoken)


def _wire_of(port: str) -> Wire:
    if port.startswith(HID):
        return Wire.USB
    return Wire.NETWORK if port.startswith(NETWORK) else Wire.SERIAL


def ports_there() -> Sequence[PortChoice]:
    """List the ports that exist, each by what it is remembered by."""
    weighing = [
        PortChoice(each.identity, Message("line.port_hid", {"device": each.name}))
        for each in hid_scales()
    ]
    return [*port_choices(existing_ports()), *weighing]


def found_row(found: Found) -> dict[str, object]:
    """Give what was found in the fixed form, sentences still to be said."""
    return {
        "profile": found.language,
        "settings": {"baud": found.baud, "bits": found.bits},
        "sure": round(found.share * _WORTH[found.sure], 3),
        "how_sure": found.sure.value,
        "sends": None if found.by_key is None else "on_key" if found.by_key else "stream",
        "others": list(found.others),
    }
