"""Search for a scripted scale on a simulated line; somebody presses its print key when told to."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from matrix.virtual_port import Clock, VirtualPort
from matrix.wire import Speaks, WireScale, period_of
from uart import Noise, Setting

from shedstation.devices.languages.language import Wire
from shedstation.devices.languages.rows import LANGUAGES
from shedstation.devices.lines.finder import SPEEDS, ScaleFinder
from shedstation.devices.practice.sending import Sending, Speaker
from shedstation.devices.practice.voices.shown import Shown
from shedstation.devices.practice.voices.voice import Voice
from shedstation.domain.mass import Unit
from shedstation.domain.scale_found import Found, Looking

HAND_S = 1.5
"""So long somebody takes to press the key again."""


@dataclass(frozen=True)
class Searched:
    """How a search ended."""

    found: Found
    took_s: float
    written: bytes
    presses: int


def search(
    scale: WireScale,
    *,
    ask: bool = False,
    press: Callable[[], object] | None = None,
    wire: Wire = Wire.SERIAL,
) -> Searched:
    """Search until it is over."""
    speeds = SPEEDS if wire is Wire.SERIAL else (None,)
    languages = [each for each in LANGUAGES if wire in each.wires]
    clock, written, presses, pressed_s = Clock(), bytearray(), 0, -HAND_S
    finder = ScaleFinder(
        lambda asked: VirtualPort(scale, clock, asked, written),
        clock,
        speeds=speeds,
        languages=languages,
    )
    steps = finder.search(ask=ask)
    step = next(steps)
    while isinstance(step, Looking):
        if step.needs_a_hand and press and clock.now_s - pressed_s > HAND_S:
            press()
            presses, pressed_s = presses + 1, clock.now_s
        step = next(steps)
    assert next(steps, None) is None
    return Searched(step, clock.now_s, bytes(written), presses)


@dataclass(frozen=True)
class Hidden:
    """A scale to be found."""

    voice: Voice
    unit: Unit
    sending: Sending
    setting: Setting

    def __str__(self) -> str:
        speed = f"{self.setting.baud} {self.setting.bits}"
        return f"{self.voice.name}, {self.unit.value}, {self.sending.value}, {speed}"

    def search(
        self, displays: Sequence[Shown], *, least_s: float = 0.1, noise: Noise | None = None
    ) -> Searched:
        """Search for it; ask if it is one that waits to be asked."""
        speaker = Speaker(self.voice, self.sending)
        longest = max(len(self.voice.write(each)) for each in displays)
        period_s = max(least_s, period_of(self.setting, longest))
        scale = WireScale(speaker, self.setting, displays, period_s, noise=noise)
        has_key = self.sending is Sending.PRINT_KEY
        return search(
            scale,
            ask=self.sending is Sending.POLL,
            press=speaker.press_print if has_key else None,
        )


def silent(speaker: Speaks, setting: Setting, displays: Sequence[Shown]) -> WireScale:
    """Give a scale that speaks only when spoken to."""
    return WireScale(speaker, setting, displays, period_of(setting, 24))
