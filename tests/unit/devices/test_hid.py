"""USB weighing devices, from files as the system shows them: no hardware is needed."""

import os
from pathlib import Path

import pytest

from shedstation.devices.languages.decode import Decoder
from shedstation.devices.languages.rows import language
from shedstation.devices.lines.hid import HidTransport, hid_scales
from shedstation.domain.errors import WorldFault
from shedstation.domain.reading import Reading

# A descriptor written out by hand after USB HID 1.11 (6.2.2) and the usage page 0x8D of the Point of Sale
# usage tables: report 3 with status, unit, scaling and weight.
HEAD = "06 8D 00 09 20 A1 01 85 03"
STATUS = "09 70 A1 02 19 71 29 78 15 01 25 08 75 08 95 01 81 00 C0"
UNIT = "09 50 A1 02 19 51 29 5C 15 01 25 0C 75 08 95 01 81 00 C0"
SCALING = "09 41 15 80 25 7F 75 08 95 01 81 02"
WEIGHT = "09 40 15 00 27 FF FF 00 00 75 10 95 01 81 02"
END = "C0"
KEYBOARD = "05 01 09 06 A1 01 05 07 19 E0 29 E7 15 00 25 01 75 01 95 08 81 02 C0"


def plugged(tmp_path: Path, name: str, *parts: str, serial: str = "A1") -> Path:
    device = tmp_path / "sys" / name / "device"
    device.mkdir(parents=True)
    (device / "report_descriptor").write_bytes(bytes.fromhex(" ".join(parts)))
    described = f"DRIVER=hid-generic\nHID_ID=0003:0000FFF0:00001234\nHID_UNIQ={serial}\n"
    (device / "uevent").write_text(described, encoding="utf-8")
    return tmp_path / "sys"


def test_that_scales_are_told_from_keyboards_and_odd_layouts(tmp_path: Path) -> None:
    plugged(tmp_path, "hidraw0", KEYBOARD)
    plugged(tmp_path, "hidraw1", HEAD, STATUS, UNIT, SCALING, WEIGHT, END)
    plugged(tmp_path, "hidraw2", HEAD, UNIT, STATUS, SCALING, WEIGHT, END, serial="B2")
    system = plugged(tmp_path, "hidraw3", "06 8D")
    found = {each.name: (each.identity, each.number) for each in hid_scales(system)}
    assert found == {
        "hidraw1": ("hid:fff0:1234:a1", 3),
        "hidraw2": ("hid:fff0:1234:b2", None),
    }
    assert list(hid_scales(tmp_path / "elsewhere")) == []


def opened(tmp_path: Path, *parts: str) -> tuple[HidTransport, int]:
    system = plugged(tmp_path, "hidraw1", *parts)
    os.mkfifo(tmp_path / "hidraw1")
    transport = HidTransport("hid:fff0:1234:a1", system=system, devices=tmp_path)
    transport.open()
    return transport, os.open(tmp_path / "hidraw1", os.O_WRONLY)


def test_that_reports_are_read_one_by_one_and_the_first_is_left_out(tmp_path: Path) -> None:
    transport, device = opened(tmp_path, HEAD, STATUS, UNIT, SCALING, WEIGHT, END)
    try:
        decoder = Decoder(language("hid-weighing"))
        # A pipe runs reports together that hidraw gives one by one, so each is read before the next.
        chunks = []
        for report in ("03040CFE0001", "03040CFE1103", "09040CFE1000", "0304", "03030CFE6F04"):
            os.write(device, bytes.fromhex(report))
            chunks.append(transport.read_chunk())
        assert chunks[0] == chunks[2] == chunks[3] == b""
        masses = [
            str(event.mass)
            for chunk in chunks
            for event in decoder.feed(0.0, chunk)
            if isinstance(event, Reading)
        ]
        assert masses == ["7.85 lb", "11.35 lb"]
        assert transport.read_chunk() == b""
    finally:
        os.close(device)
    with pytest.raises(OSError, match="no such device"):
        transport.read_chunk()
    transport.close()
    with pytest.raises(OSError, match="not open"):
        transport.read_chunk()


def test_that_an_odd_layout_is_refused(tmp_path: Path) -> None:
    with pytest.raises(WorldFault, match=r"scale\.unknown_layout"):
        opened(tmp_path, HEAD, UNIT, STATUS, SCALING, WEIGHT, END)


def test_that_a_device_that_is_not_there_is_the_worlds_fault(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        HidTransport("hid:fff0:1234:zz", system=tmp_path, devices=tmp_path).open()
