"""Read the weight registers of a module on a Modbus line, serial (RTU) or TCP.

Frames are built and taken apart by pymodbus. The protocol is published (Modbus application protocol
1.1b3, Modbus over serial line 1.02); which register holds what is each module's own affair, so a map
says it. The maps of the rows shipped here are our own choice of the usual arrangement.
"""

import re
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterMap:
    """Where the weight stands among the registers that are read in one request.

    Status and weight come in one answer: read apart, they might not belong together.
    """

    device: int = 1
    function: Literal[3, 4] = 3
    first: int = 0
    high_word: int = 0
    low_word: int = 1
    decimals: int = 2
    status: int = 3
    """Bits of the status: 0 moving, 1 over, 2 under, 3 net, 4 fault; 8 and 9 kg, lb, g, oz."""

    @property
    def count(self) -> int:
        """Get how many registers are read."""
        return max(self.high_word, self.low_word, self.decimals, self.status) + 1


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
    status, decimals = registers[where.status], registers[where.decimals]
    mode = Mode.NET if status & 0x08 else Mode.GROSS
    for bit, state in ((0x10, State.FAULT), (0x02, State.OVER), (0x04, State.UNDER)):
        if status & bit:
            return Meaning(None, state, mode)
    count = registers[where.high_word] * _WORD + registers[where.low_word]
    if count >= _WORD * _WORD // 2:
        count -= _WORD * _WORD
    if abs(count) >= _LARGEST or decimals > _MOST_DECIMALS:
        return None
    mass = Mass(count, decimals, _UNITS[status >> 8 & 0x03])
    return Meaning(mass, State.MOVING if status & 0x01 else State.STEADY, mode)


def _sample(framer: FramerBase, where: RegisterMap) -> bytes:
    registers = [0] * where.count
    registers[where.low_word], registers[where.decimals], registers[where.status] = 2542, 2, 0x0100
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
