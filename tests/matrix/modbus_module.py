"""A weight module that answers on a Modbus line, written from the published protocol.

Modbus application protocol 1.1b3 (6.3: read holding registers) and Modbus over serial line 1.02 (6.2.2:
the check, polynomial 0xA001, start 0xFFFF, low byte first); TCP: Modbus messaging on TCP/IP 1.0b (3.1.3).
"""

from shedstation.devices.practice.voices.shown import Shown
from shedstation.domain.mass import Unit
from shedstation.domain.reading import Mode, State

READ_HOLDING = 3
_UNITS = {Unit.KG: 0, Unit.LB: 1, Unit.G: 2, Unit.OZ: 3}
_STATES = {State.MOVING: 1, State.OVER: 2, State.UNDER: 4, State.STEADY: 0, State.FAULT: 16}


def crc(data: bytes) -> bytes:
    check = 0xFFFF
    for byte in data:
        check ^= byte
        for _ in range(8):
            check = check >> 1 ^ (0xA001 if check & 1 else 0)
    return check.to_bytes(2, "little")


class ModbusModule:
    """Answers a request for its four registers with what its display shows."""

    def __init__(self, *, low_first: bool = False, over_tcp: bool = False) -> None:
        self._low_first, self._over_tcp = low_first, over_tcp
        self._asked: list[bytes] = []
        self._heard = b""

    def hear(self, data: bytes) -> None:
        """Take bytes; a silence ends what was no request."""
        self._heard = (self._heard + data)[-64:] if data else b""
        request = self._heard[-(12 if self._over_tcp else 8) :]
        if self._is_request(request):
            self._asked.append(request)
            self._heard = b""

    def say(self, shown: Shown) -> list[bytes]:
        requests, self._asked = self._asked, []
        return [self._answer(request, shown) for request in requests]

    def _is_request(self, request: bytes) -> bool:
        body = request[6:] if self._over_tcp else request[:6]
        whole = self._over_tcp or crc(body) == request[6:]
        return whole and body == bytes([1, READ_HOLDING, 0, 0, 0, 4])

    def _answer(self, request: bytes, shown: Shown) -> bytes:
        answer = bytes([1, READ_HOLDING, 8]) + self._registers(shown)
        if self._over_tcp:
            return request[:4] + len(answer).to_bytes(2, "big") + answer
        return answer + crc(answer)

    def _registers(self, shown: Shown) -> bytes:
        weight = shown.mass.count.to_bytes(4, "big", signed=True)
        words = weight[2:] + weight[:2] if self._low_first else weight
        status = _STATES[shown.state] | 8 * (shown.mode is Mode.NET) | _UNITS[shown.mass.unit] << 8
        return words + shown.mass.decimals.to_bytes(2, "big") + status.to_bytes(2, "big")
