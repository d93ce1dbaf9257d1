"""Run the practice scale from a terminal."""

import sys
import time
from collections.abc import Callable, Mapping
from typing import Final

from shedstation.devices.practice.scale import PracticeSetup
from shedstation.devices.practice.sending import Sending
from shedstation.devices.practice.server import PracticeServer
from shedstation.devices.practice.voices.table import VOICES, voice
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import Bench, Sends
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.message import Message
from shedstation.words import Words

_USUAL: Final = "status-comma"
_NAMES: Final = frozenset(each.name for each in VOICES)
_SCALES: Final = {
    Unit.LB: (Mass(1, 2, Unit.LB), Mass(6000, 2, Unit.LB)),
    Unit.KG: (Mass(5, 3, Unit.KG), Mass(30000, 3, Unit.KG)),
    Unit.OZ: (Mass(2, 1, Unit.OZ), Mass(9600, 1, Unit.OZ)),
    Unit.G: (Mass(10, 0, Unit.G), Mass(30000, 0, Unit.G)),
    Unit.LB_OZ: (Mass(2, 1, Unit.LB_OZ), Mass(9600, 1, Unit.LB_OZ)),
}
"""Division and capacity of a usual bench scale in each unit, invented."""

SENDS: Final = {Sending.PRINT_KEY: Sends.ON_KEY, Sending.STABLE_ONLY: Sends.WHEN_STEADY}
"""How a bench is set up for a practice scale that does not stream."""


def practice_setup(
    spoken: str, unit: Unit | None = None, sending: Sending = Sending.STREAM
) -> PracticeSetup:
    """Give a usual scale.

    Args:
        spoken: The name of a voice.
        unit: What it shows; none takes the first that the voice has.
        sending: When it sends.

    Raises:
        WorldFault: if the voice cannot show the unit.
    """
    units = voice(spoken).units
    if unit is not None and unit not in units:
        known = [each.value for each in units]
        values = {"language": spoken, "unit": unit.value, "known": known}
        raise WorldFault(Message("scale.unit_not_spoken", values))
    division, capacity = _SCALES[unit or units[0]]
    return PracticeSetup(voice=spoken, sending=sending, division=division, capacity=capacity)


def practice_like(bench: Bench | None, sending: Sending) -> PracticeSetup:
    """Give a scale like a bench's own, which speaks its language if a practice scale can."""
    if bench is None:
        return practice_setup(_USUAL, sending=sending)
    spoken = bench.scale if bench.scale in _NAMES else _USUAL
    if bench.unit not in voice(spoken).units:
        spoken = _USUAL
    wanted = next((each for each, sends in SENDS.items() if sends is bench.sends), sending)
    return PracticeSetup(
        voice=spoken, sending=wanted, division=bench.division, capacity=bench.capacity
    )


def run_practice_scale(setup: PracticeSetup, port: int, say: Callable[[str], None]) -> None:
    """Serve a practice scale until `q` or the end of the input.

    Args:
        setup: What it is like.
        port: TCP port on loopback; 0 takes a free one.
        say: Prints a line.
    """
    server = PracticeServer(setup, seed=1, now_s=time.monotonic, port=port)
    server.start()
    say(Words("en").text("cli.practice_keys", address=server.address))
    keys = _keys(server)
    try:
        for line in sys.stdin:
            for key in line.strip():
                if key == "q":
                    return
                keys.get(key, _nothing)()
    finally:
        server.stop()


def _nothing() -> None:
    """Ignore a key that means nothing."""


def _keys(server: PracticeServer) -> Mapping[str, Callable[[], None]]:
    return {
        "b": server.put_box,
        "f": server.add_fruit,
        "s": server.add_little,
        "o": server.take_fruit,
        "i": server.put_back,
        "l": server.lift_off,
        "t": server.press_tare,
        "z": server.press_zero,
        "h": server.shake,
        "p": server.press_print,
        "u": lambda: server.plug(out=server.is_plugged),
    }
