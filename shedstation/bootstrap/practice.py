"""Run the practice scale from a terminal."""

import sys
import time
from collections.abc import Callable, Mapping

from shedstation.devices.practice.scale import PracticeSetup
from shedstation.devices.practice.server import PracticeServer
from shedstation.domain.mass import Mass, Unit
from shedstation.words import Words


def practice_setup(language: str) -> PracticeSetup:
    """Give a usual scale that speaks the language."""
    if language == "pounds-ounces":
        return PracticeSetup(
            language=language,
            unit=Unit.LB_OZ,
            division=Mass(2, 1, Unit.LB_OZ),
            capacity=Mass(9600, 1, Unit.LB_OZ),
        )
    return PracticeSetup(language=language)


def run_practice_scale(language: str, port: int, say: Callable[[str], None]) -> None:
    """Serve a practice scale until `q` or the end of the input.

    Args:
        language: What it speaks.
        port: TCP port on loopback; 0 takes a free one.
        say: Prints a line.
    """
    server = PracticeServer(practice_setup(language), seed=1, now_s=time.monotonic, port=port)
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
        "l": server.lift_off,
        "t": server.press_tare,
        "z": server.press_zero,
        "h": server.shake,
        "u": lambda: server.plug(out=server.is_plugged),
    }
