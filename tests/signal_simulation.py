"""Simulate what a bench scale shows while a box is filled by hand.

The load goes through a platform that swings, an indicator that filters and a display that rounds. The
model and its ranges are our own (common practice, no published source): a platform of 12 Hz and
damping 0.12, fruit that land within 30 to 120 ms with an impulse, hands that press before a fruit lands
or after it, nudges, vibration at 7.3 and 24.7 Hz, white noise and creep.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from shedstation.domain.mass import Mass, Unit

Signal = NDArray[np.float64]

HZ: Final = 800
"""Samples a second of the load itself."""

TOGETHER_S: Final = 0.25
"""Fruit that land within this of each other cannot be told apart by anybody."""

PLATFORM_HZ: Final = 12.0
PLATFORM_DAMPING: Final = 0.12
_VIBRATION_HZ: Final = (7.3, 24.7)
NOISE_D: Final = 0.15
_CREEP_D: Final = 0.5
_CREEP_S: Final = 120.0
_FAR_D: Final = 6
_FASTER: Final = 5

_BOX_G: Final = 1134.0
_BOX_ON_S: Final = 2.0
_TARED_S: Final = 6.0
_FIRST_S: Final = 7.0
_REST_S: Final = 4.0

_REACH_S: Final = 0.6
"""Between two fruit a hand is off the box for at least so long, to reach for the next one."""

_TAKING_S: Final = 0.3
_NUDGE_S: Final = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedScale:
    """What a display rounds to, how often it sends, and how its indicator filters."""

    division: Mass
    rate_hz: float = 10.0
    average_s: float = 0.0
    """Length of a moving average."""

    pole_s: float = 0.0
    """Time constant of a one-pole filter behind it."""

    adaptive: bool = False
    """Whether the pole is five times as fast while the load is more than six divisions away."""

    vibration_d: float = 0.3
    """Size of each of the two vibrations, in divisions."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedPacker:
    """How fruit come into the box."""

    least_gap_s: float
    most_gap_s: float
    fruit: int = 24
    mean_g: float = 440.0
    sd_g: float = 84.0
    """Weights of Tommy Atkins, from mango_fruit_weight.csv of the published vectors."""

    together: float = 0.06
    """Share of fruit that land together with the one before."""

    taken_out: float = 0.05
    nudged: float = 0.05
    pressed: float = 0.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Landing:
    """One fruit that went in, or out if its grams are below nothing."""

    at_s: float
    grams: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledBox:
    """What the scale showed while a box was filled, and what really happened."""

    before: tuple[tuple[float, Mass], ...]
    """Seconds and shown weight up to the tare: the empty pan, then the empty box."""

    after: tuple[tuple[float, Mass], ...]
    """Seconds and net weight from the tare on; the last is at rest."""

    landings: tuple[Landing, ...]


def fill_box(
    scale: SimulatedScale, packer: SimulatedPacker, seed: int, start_s: float = 0.0
) -> FilledBox:
    """Fill one box from this second on; the same seed gives the same box."""
    dice = np.random.default_rng(seed)
    landings = list(_landings(packer, dice))
    end_s = landings[-1].at_s + _REST_S
    load = _load(landings, packer, end_s, dice)
    division_g = float(scale.division.measured_in(Unit.G))
    seen = _filtered(_swinging(load), scale, division_g)
    # Vibration goes the way of the load: what the indicator averages, it averages out.
    shaken = _filtered(
        _vibration(len(load), dice) * scale.vibration_d * division_g, scale, division_g
    )
    times = np.arange(0.0, end_s, 1 / scale.rate_hz) + dice.uniform(0, 1 / scale.rate_hz)
    times = times[times < end_s]
    at = (times * HZ).astype(int)
    creep = _CREEP_D * division_g * (1 - np.exp(-times / _CREEP_S))
    noise = dice.normal(0.0, NOISE_D * division_g, len(times))
    steps = np.rint((seen[at] + shaken[at] + creep + noise) / division_g).astype(int)
    tare = int(steps[times <= _TARED_S][-1])
    shown = [
        (start_s + at_s, step) for at_s, step in zip(times.tolist(), steps.tolist(), strict=True)
    ]
    tared_s = start_s + _TARED_S
    return FilledBox(
        before=tuple((at_s, scale.division * step) for at_s, step in shown if at_s <= tared_s),
        after=tuple(
            (at_s, scale.division * (step - tare)) for at_s, step in shown if at_s > tared_s
        ),
        landings=tuple(replace(each, at_s=start_s + each.at_s) for each in landings),
    )


def _landings(packer: SimulatedPacker, dice: np.random.Generator) -> Iterator[Landing]:
    """Say when each fruit lands; now and then two together, now and then one goes out again."""
    at_s = _FIRST_S
    inside: list[float] = []
    for _ in range(packer.fruit):
        if inside and dice.random() < packer.together:
            at_s += dice.uniform(0.0, TOGETHER_S)
        else:
            at_s += dice.uniform(packer.least_gap_s, packer.most_gap_s)
        grams = max(100.0, dice.normal(packer.mean_g, packer.sd_g))
        inside.append(grams)
        yield Landing(at_s=at_s, grams=grams)
        if len(inside) > 1 and dice.random() < packer.taken_out:
            at_s += dice.uniform(packer.least_gap_s, packer.most_gap_s)
            yield Landing(at_s=at_s, grams=-inside.pop(dice.integers(len(inside))))


def _load(
    landings: list[Landing], packer: SimulatedPacker, end_s: float, dice: np.random.Generator
) -> Signal:
    """Give the force on the platform in grams, sample by sample."""
    load = np.zeros(int(end_s * HZ) + 1)
    _ramp(load, _BOX_ON_S, 0.15, _BOX_G)
    _press(load, _BOX_ON_S, 0.6, dice.uniform(300.0, 1500.0))
    hand_off_s = _TARED_S
    ends = [*(landing.at_s for landing in landings[1:]), end_s]
    for landing, next_s in zip(landings, ends, strict=True):
        _land(load, landing, dice)
        earliest_s, latest_s = hand_off_s + _REACH_S, next_s - _REACH_S
        hand_off_s = _touch(load, landing, (earliest_s, latest_s), packer, dice)
    return load


def _land(load: Signal, landing: Landing, dice: np.random.Generator) -> None:
    _ramp(load, landing.at_s, dice.uniform(0.03, 0.12), landing.grams)
    if landing.grams > 0:
        _press(load, landing.at_s, 0.06, landing.grams * dice.uniform(0.3, 2.0))


def _touch(
    load: Signal,
    landing: Landing,
    between_s: tuple[float, float],
    packer: SimulatedPacker,
    dice: np.random.Generator,
) -> float:
    """Let a hand press before the fruit lands or after it, and now and then knock at the box.

    Args:
        load: Is changed.
        landing: The fruit.
        between_s: Seconds from which on the hand is there again, and when it must be off again.
        packer: How often.
        dice: What decides.

    Returns:
        Seconds at which the hand is off the box.
    """
    at_s, (earliest_s, latest_s) = landing.at_s, between_s
    if landing.grams < 0:
        start_s = max(at_s - _TAKING_S, min(earliest_s, at_s))
        _press(load, start_s, at_s - start_s, dice.uniform(150.0, 1000.0))
        return at_s
    off_s = at_s
    if dice.random() < packer.pressed:
        lasts_s, grams = dice.uniform(0.15, 0.9), dice.uniform(150.0, 2500.0)
        early = dice.random() < 0.5  # before as often as after
        start_s = max(at_s - lasts_s, min(earliest_s, at_s)) if early else at_s
        off_s = at_s if early else max(at_s, min(at_s + lasts_s, latest_s))
        _press(load, start_s, off_s - start_s, grams)
    if dice.random() < packer.nudged and latest_s - off_s > _NUDGE_S:
        off_s = dice.uniform(off_s, latest_s - _NUDGE_S) + _NUDGE_S
        _press(load, off_s - _NUDGE_S, _NUDGE_S / 2, 1500.0)
        _press(load, off_s - _NUDGE_S / 2, _NUDGE_S / 2, -1500.0)
    return off_s


def _ramp(load: Signal, at_s: float, lasts_s: float, grams: float) -> None:
    start, samples = int(at_s * HZ), max(1, int(lasts_s * HZ))
    load[start : start + samples] += grams * np.arange(1, samples + 1) / samples
    load[start + samples :] += grams


def _press(load: Signal, at_s: float, lasts_s: float, grams: float) -> None:
    """Add a half-sine; one shorter than a tenth of a second is nothing but for an impulse."""
    samples = int(lasts_s * HZ)
    if samples > 0:
        start = int(at_s * HZ)
        load[start : start + samples] += grams * np.sin(np.pi * np.arange(samples) / samples)


def _swinging(load: Signal) -> Signal:
    """Let the platform swing: a second-order system, by its impulse response."""
    w0 = 2 * np.pi * PLATFORM_HZ
    damped = w0 * np.sqrt(1 - PLATFORM_DAMPING**2)
    t = np.arange(0, 1.5, 1 / HZ)
    response = np.exp(-PLATFORM_DAMPING * w0 * t) * np.sin(damped * t)
    return _folded(load, response / response.sum())


def _vibration(samples: int, dice: np.random.Generator) -> Signal:
    t = np.arange(samples) / HZ
    phases = dice.uniform(0, 2 * np.pi, len(_VIBRATION_HZ))
    waves = [np.sin(2 * np.pi * hz * t + at) for hz, at in zip(_VIBRATION_HZ, phases, strict=True)]
    return np.asarray(np.sum(waves, axis=0))


def _filtered(load: Signal, scale: SimulatedScale, division_g: float) -> Signal:
    if scale.average_s:
        samples = round(scale.average_s * HZ)
        load = _folded(load, np.full(samples, 1 / samples))
    if scale.adaptive:
        return _adapting(load, scale.pole_s, _FAR_D * division_g)
    if scale.pole_s:
        response = np.exp(-np.arange(0, 12 * scale.pole_s, 1 / HZ) / scale.pole_s)
        load = _folded(load, response / response.sum())
    return load


def _adapting(load: Signal, pole_s: float, far_g: float) -> Signal:
    """Follow the load by one pole that is faster while the load is far away."""
    slow, fast = (1 - np.exp(-1 / (HZ * each)) for each in (pole_s, pole_s / _FASTER))
    shown, at = np.empty_like(load), 0.0
    for place, value in enumerate(load.tolist()):
        at += (value - at) * (fast if abs(value - at) > far_g else slow)
        shown[place] = at
    return shown


def _folded(load: Signal, response: Signal) -> Signal:
    """Fold a signal with a response, as if the first sample had stood for ever before."""
    size = 1 << (len(load) + len(response) - 1).bit_length()
    folded = np.fft.irfft(np.fft.rfft(load, size) * np.fft.rfft(response, size), size)
    return np.asarray(folded[: len(load)])
