"""Read the weight registers of a module on a Modbus line, serial (RTU) or TCP.

Frames are built and taken apart by pymodbus. The protocol is published (Modbus application protocol
1.1b3, Modbus over serial line 1.02); which register holds what is each module's own affair, so a map
says it. The maps of the rows shipped here are our own choice of the usual arrangement.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal, cast

from pymodbus.framer import FramerRTU, FramerSocket
from pymodbus.framer.base import FramerBase
from pymodbus.pdu import DecodePDU
from pymodbus.pdu.register_message import (
    ReadHoldingRegistersRequest,
    ReadHoldingRegistersResponse,
    ReadInputRegistersRequest,
)

from shedstation.devices.languages.framing import Block
from shedstation.devices.languages.language import CABLES, Language, Meaning, Parse, Wire
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import Mode, State

_TRANSACTION: Final = 1
_WORD: Final = 1 << 16
_LARGEST: Final = 10**7
"""No bench scale shows more digits; a larger number means that the words stand the other way round."""

_MOST_DECIMALS: Final = 6
_UNITS: Final = (Unit.KG, Unit.LB, Unit.G, Unit.OZ)
_USUAL_BITS: Final = {"moving": 0, "over_range": 1, "under_range": 2, "net": 3, "fault": 4}
_BEYOND: Final = {"fault": State.FAULT, "over_range": State.OVER, "under_range": State.UNDER}


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterMap:
    """Where the weight stands among the registers that are read in one request.

    Status and weight come in one answer: read apart, they might not belong together.
    """

    device: int = 1
    function: Literal[3, 4] = 3
    first: int = 0
    high_word: int | None = 0
    """None for a weight of one register."""

    low_word: int = 1
    decimals: int | None = 2
    """None where `fixed_decimals` says them once for all."""

    fixed_decimals: int = 0
    status: int | None = 3
    bits: Mapping[str, int] = field(default_factory=lambda: _USUAL_BITS)
    """Which bit of the status says `moving`, `over_range`, `under_range`, `net` and `fault`."""

    unit: Unit | None = None
    """None where bits 8 and 9 of the status say kg, lb, g or oz."""

    @property
    def count(self) -> int:
        """Get how many registers are read."""
        used = (self.high_word, self.low_word, self.decimals, self.status)
        return max(each for each in used if each is not None) + 1


def register_language(name: str, where: RegisterMap, *, over_tcp: bool = False) -> Language:
    """Give the language of a module whose registers are arranged so."""
    decoder = DecodePDU(is_server=False)
    framer: FramerBase = FramerSocket(decoder) if over_tcp else FramerRTU(decoder)
    request = ReadHoldingRegistersRequest if where.function == 3 else ReadInputRegistersRequest  # noqa: PLR2004  # Modbus's own number
    asked = request(
        address=where.first, count=where.count, dev_id=where.device, transaction_id=_TRANSACTION
    )
    head = bytes([where.device, where.function, 2 * where.count])
    if over_tcp:
        head = b"\x00\x01\x00\x00\x00" + bytes([len(head) + 2 * where.count]) + head
    tail = 0 if over_tcp else 2
    body = re.compile(re.escape(head) + b".{%d}" % (2 * where.count + tail), re.DOTALL)
    length = len(head) + 2 * where.count + tail
    return Language(
        name=name,
        framing=Block(
            start=head[:1],
            length=length,
            is_frame=lambda frame: body.fullmatch(frame) and _is_whole(framer, frame),
        ),
        grammar=body,
        parse=_parser(framer, decoder, where),
        sample=_sample(framer, where),
        shows_its_start=True,
        has_check=not over_tcp,
        is_binary=True,
        wires=frozenset({Wire.NETWORK}) if over_tcp else CABLES,
        ask=framer.buildFrame(asked),
    )


def _is_whole(framer: FramerBase, frame: bytes) -> bool:
    """Tell whether the check at the end is right; TCP has its own and leaves it out."""
    return bool(framer.decode(frame)[3])


def _parser(framer: FramerBase, decoder: DecodePDU, where: RegisterMap) -> Parse:
    def parse(found: re.Match[bytes]) -> Meaning | None:
        _, _, _, pdu = framer.decode(found[0])
        answer = decoder.decode(pdu) if pdu else None
        registers = [] if answer is None else cast("list[int]", answer.registers)
        return _meaning(registers, where) if len(registers) == where.count else None

    return parse


def _meaning(registers: list[int], where: RegisterMap) -> Meaning | None:
    status = 0 if where.status is None else registers[where.status]
    said = {name for name, bit in where.bits.items() if status >> bit & 1}
    mode = _mode(where, said)
    beyond = next((state for name, state in _BEYOND.items() if name in said), None)
    if beyond is not None:
        return Meaning(None, beyond, mode)
    decimals = where.fixed_decimals if where.decimals is None else registers[where.decimals]
    count = _signed(registers, where)
    if abs(count) >= _LARGEST or decimals > _MOST_DECIMALS:
        return None
    unit = where.unit or _UNITS[status >> 8 & 0x03]
    return Meaning(Mass(count, decimals, unit), _state(where, said), mode)


def _signed(registers: list[int], where: RegisterMap) -> int:
    """Give the weight of one register or two, a two's complement either way."""
    low = registers[where.low_word]
    if where.high_word is None:
        return low - _WORD if low >= _WORD // 2 else low
    count = registers[where.high_word] * _WORD + low
    return count - _WORD * _WORD if count >= _WORD * _WORD // 2 else count


def _mode(where: RegisterMap, said: set[str]) -> Mode:
    if where.status is None or "net" not in where.bits:
        return Mode.UNKNOWN
    return Mode.NET if "net" in said else Mode.GROSS


def _state(where: RegisterMap, said: set[str]) -> State:
    if where.status is None or "moving" not in where.bits:
        return State.UNKNOWN
    return State.MOVING if "moving" in said else State.STEADY


def _sample(framer: FramerBase, where: RegisterMap) -> bytes:
    registers = [0] * where.count
    registers[where.low_word] = 2542
    for at, value in ((where.decimals, 2), (where.status, 0x0100)):
        if at is not None:
            registers[at] = value
    answer = ReadHoldingRegistersResponse(
        registers=registers, dev_id=where.device, transaction_id=_TRANSACTION
    )
    answer.function_code = where.function
    return framer.buildFrame(answer)


_LOW_FIRST: Final = RegisterMap(high_word=1, low_word=0)
REGISTER_LANGUAGES: Final = (
    register_language("modbus-registers", RegisterMap()),
    register_language("modbus-registers-low-first", _LOW_FIRST),
    register_language("modbus-tcp-registers", RegisterMap(), over_tcp=True),
    register_language("modbus-tcp-registers-low-first", _LOW_FIRST, over_tcp=True),
)
