"""Reach USB weighing devices on Linux through hidraw: one read gives one report.

The report descriptor says what stands where (USB HID 1.11, 6.2.2); a layout that is not the usual one is
refused, since a guessed layout would give wrong weights.
"""

import os
import select
import warnings
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import hid_parser

from shedstation.devices.languages.reports import REPORT_BYTES
from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message

READ_WAIT_S: Final = 0.1
_SYSTEM: Final = Path("/sys/class/hidraw")
_DEVICES: Final = Path("/dev")
_WEIGHING_PAGE: Final = 0x8D

_PAGE_ITEMS: Final = (b"\x05\x8d", b"\x06\x8d\x00")
"""How a descriptor turns to that page, in one byte or two."""

_USUAL: Final = (("status", 8), ("unit", 8), ("scaling", 8), ("weight", 16))
"""What the usual data report holds, in this order, and in how many bits."""

Parts = tuple[tuple[str, int], ...]
"""What each part of a report is, and its bits."""

_LARGEST_REPORT: Final = 64

PREFIX: Final = "hid:"


@dataclass(frozen=True, slots=True, kw_only=True)
class HidScale:
    """A weighing device that is plugged in."""

    name: str
    """`hidraw0` and so on, which may change with every plug."""

    identity: str
    """What stays the same: `hid:VENDOR:PRODUCT:SERIAL`, as the system knows them."""

    number: int | None
    """The number of its data report; none if that is not laid out in the usual way."""


def hid_scales(system: Path = _SYSTEM) -> Iterator[HidScale]:
    """Give the weighing devices among all that is plugged in.

    Args:
        system: Where the system describes them; there is none on other systems.
    """
    if not system.is_dir():
        return
    for folder in sorted(system.iterdir()):
        with suppress(OSError):
            reports = _weighing((folder / "device/report_descriptor").read_bytes())
            if reports:
                identity = _identity((folder / "device/uevent").read_text(encoding="utf-8"))
                usual = (number for number, parts in reports.items() if parts == _USUAL)
                yield HidScale(name=folder.name, identity=identity, number=next(usual, None))


def _identity(described: str) -> str:
    """Read vendor, product and serial number out of the system's description."""
    known = dict(line.partition("=")[::2] for line in described.splitlines())
    _, vendor, product = (known.get("HID_ID", "::") + "::").split(":")[:3]
    return f"{PREFIX}{vendor[-4:]}:{product[-4:]}:{known.get('HID_UNIQ', '')}".lower()


def _weighing(descriptor: bytes) -> dict[int | None, Parts]:
    """Give the reports that hold a weight, by their number; nothing for what is no weighing device."""
    # Only what speaks of weighing is looked into; the system has checked its sizes by then.
    if not any(page in descriptor for page in _PAGE_ITEMS):
        return {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", hid_parser.HIDWarning)
        try:
            parsed = hid_parser.ReportDescriptor(descriptor)
        except (hid_parser.InvalidReportDescriptor, ValueError, LookupError, TypeError):
            return {}
    reports = {number: _parts(parsed, number) for number in parsed.input_report_ids}
    return {
        number: parts
        for number, parts in reports.items()
        if "weight" in [kind for kind, _ in parts]
    }


def _parts(parsed: hid_parser.ReportDescriptor, number: int | None) -> Parts:
    """Say what each part of a report is and how many bits it has."""
    parts = []
    for item in parsed.get_input_items(number):
        if isinstance(item, hid_parser.ArrayItem):
            parts.append((_kind(item.usages[0]), int(item.size) * item.count))
        elif isinstance(item, hid_parser.VariableItem):
            parts.append((_kind(item.usage), int(item.size)))
        else:
            parts.append(("", int(item.size)))
    return tuple(parts)


def _kind(usage: hid_parser.Usage) -> str:
    """Name a usage of the weighing page, by its published number."""
    if usage.page != _WEIGHING_PAGE:
        return ""
    known = {
        "status": range(0x70, 0x79),
        "unit": range(0x50, 0x5D),
        "scaling": (0x41,),
        "weight": (0x40,),
    }
    return next((kind for kind, numbers in known.items() if usage.usage in numbers), "")


class HidTransport:
    """A weighing device by its identity, read report by report."""

    def __init__(self, port: str, *, system: Path = _SYSTEM, devices: Path = _DEVICES) -> None:
        """Name a device.

        Args:
            port: `hid:VENDOR:PRODUCT:SERIAL`.
            system: Where the system describes what is plugged in.
            devices: Where the devices are.
        """
        self.port = port
        self._system, self._devices = system, devices
        self._file: int | None = None
        self._number: int | None = None
        self._is_first = True

    def open(self) -> None:
        """Open the device.

        Raises:
            WorldFault: if it lays its reports out in a way of its own.
            OSError: if it is not there or may not be opened.
        """
        found = [each for each in hid_scales(self._system) if each.identity == self.port]
        if not found:
            raise FileNotFoundError(2, "no such weighing device", self.port)
        self._number = found[0].number
        if self._number is None:
            raise WorldFault(Message("scale.unknown_layout", {"port": self.port}))
        self._file = os.open(self._devices / found[0].name, os.O_RDONLY | os.O_NONBLOCK)
        self._is_first = True

    def read_chunk(self) -> bytes:
        """Give the next report, empty when a tenth of a second passed without any.

        The first one after opening may be a weighing of long ago and is left out.
        """
        if self._file is None:
            raise OSError(9, "not open")
        ready, _, _ = select.select([self._file], [], [], READ_WAIT_S)
        if not ready:
            return b""
        report = os.read(self._file, _LARGEST_REPORT)
        if not report:
            raise OSError(19, "no such device")
        if len(report) != REPORT_BYTES or report[0] != self._number:
            return b""  # it may report other things too
        if self._is_first:
            self._is_first = False
            return b""
        return report

    def write(self, data: bytes) -> None:
        """Send nothing: such a device is never asked."""
        del data

    def close(self) -> None:
        """Close the device, gone or not."""
        file, self._file = self._file, None
        if file is not None:
            with suppress(OSError):
                os.close(file)
