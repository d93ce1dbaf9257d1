"""Find which characters tell the sign, the unit and whether the pan is still."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from shedstation.devices.learning.aligning import Line
from shedstation.devices.learning.row import Word
from shedstation.devices.learning.weighing import OUNCES_IN_POUND, Weighing
from shedstation.domain.mass import Mass, Unit

_CLEARLY_LOADED: Final = 20
"""Counts under which a weight may as well have crossed zero."""

_SAME_WEIGHT: Final = 10
"""Weights that differ by less than one in this many are one load coming to rest."""

_LEAST_SETTLED: Final = 2
_MOST_OTHERS: Final = 6
"""Texts of a mark while the pan moves, with sign and zero; a check that is not known has more."""

_LEAST_MOVING: Final = 3
_MOVED: Final = 3
_MOSTLY: Final = 0.7
_MOST_CHANGES: Final = 4
"""From one load to the next: lifted off, below zero, put on, and once more for a hand that slipped."""


@dataclass(frozen=True, slots=True)
class Scene:
    """All lines of a lesson, in order, with what was shown and where the weight stands."""

    lines: Sequence[Line]
    shown: Sequence[Mass | None]
    """By example."""

    weighing: Weighing

    def count(self, line: Line) -> int | None:
        """Give the weight's digits as a number, sign left out; none if there is no number."""
        count = self.weighing.first.count(line.slots)
        ounces = self.weighing.ounces
        if ounces is None or count is None:
            return count
        small, carry = (
            ounces.count(line.slots),
            OUNCES_IN_POUND * 10 ** max(ounces.decimals.values()),
        )
        return None if small is None else count * carry + small

    @property
    def steady(self) -> list[Line]:
        """Get the lines whose weight was shown."""
        return [
            line
            for line in self.lines
            if line.seen.is_steady and self.shown[line.seen.example] is not None
        ]

    def mass(self, line: Line) -> Mass:
        """Give what the display showed while a line of `steady` came."""
        shown = self.shown[line.seen.example]
        assert shown is not None  # noqa: S101  # that is what `steady` is
        return shown

    def example(self, at: int) -> list[Line]:
        """Give one example's lines."""
        return [line for line in self.lines if line.seen.example == at]


@dataclass(slots=True)
class Texts:
    """What was seen in one slot, and what each text says."""

    words: dict[bytes, set[Word]]
    """Texts that stood while a weight was shown; what they say is filled in as it is found out."""

    became: dict[bytes, set[bytes]] = field(default_factory=dict)
    """Other texts, and which of the first ones they turned into as the same load came to rest."""

    is_state: bool = False
    """Whether it tells if the pan is still."""

    is_unclear: bool = False
    """Whether other texts came while the pan moved, but not so that they can be understood."""


def texts_of(scene: Scene, at: int) -> Texts:
    """Gather the texts of a slot: those of steady weights, and those that became one of them at rest."""
    texts = Texts({line.slots[at]: set() for line in scene.steady})
    others = {line.slots[at] for line in scene.lines} - texts.words.keys()
    if not 0 < len(others) <= _MOST_OTHERS:
        texts.is_unclear = bool(others)
        return texts
    still = texts.words.keys()
    settled = _settled(scene, at, still)
    for moving, steady in settled:
        texts.became.setdefault(moving, set()).add(steady)
    texts.is_state = bool(settled) and _tells_movement(scene, at, still)
    texts.is_unclear = not texts.is_state
    return texts


def finish(texts: Texts) -> None:
    """Give the texts of movement the sign and unit of what they turned into, once those are known."""
    steady: set[Word] = {"steady"} if texts.is_state else set()
    inherited: dict[bytes, set[Word]] = {}
    for moving, became in texts.became.items():
        said = [texts.words[each] for each in became]
        common = set.intersection(*said)
        signs = {word for each in said for word in each} & {"plus", "minus"}
        if len(signs) < 2:  # noqa: PLR2004  # plus and minus
            inherited[moving] = common | ({"moving"} if texts.is_state else set())
    for words in texts.words.values():
        words.update(steady)
    texts.words |= inherited


@dataclass(frozen=True, slots=True)
class _Turn:
    """A text that turned into another as a load came to rest."""

    moving: bytes
    steady: bytes
    is_exact: bool
    """Whether the weight was quite the same before and after."""


def _settled(scene: Scene, at: int, still: Collection[bytes]) -> list[tuple[bytes, bytes]]:
    """Give, over the loads, the last other text before rest with the text it became.

    The same weight must stand with both, so that a letter for the sign, or for zero, does not pass; and
    it must be the same for loads of one sign and unit, so that a check or a digit does not.
    """
    turns: dict[tuple[bool, Unit], list[_Turn | None]] = defaultdict(list)
    texts: dict[tuple[bool, Unit], set[bytes]] = defaultdict(set)
    for example in {line.seen.example for line in scene.steady}:
        lines = scene.example(example)
        mass = scene.mass(lines[-1])
        if abs(mass.count) >= _CLEARLY_LOADED:
            texts[mass.count < 0, mass.unit] |= {
                line.slots[at] for line in lines if line.seen.is_steady
            }
            if _has_moved(scene, lines):
                turns[mass.count < 0, mass.unit].append(_turn(scene, lines, at, still))
    every = [turn for each in turns.values() for turn in each]
    exact = max(
        (sum(t is not None and t.is_exact for t in each) for each in turns.values()), default=0
    )
    if exact < _LEAST_SETTLED or None in every or any(len(each) > 1 for each in texts.values()):
        return []
    pairs = [{(turn.moving, turn.steady) for turn in each if turn} for each in turns.values()]
    return [] if any(len(each) > 1 for each in pairs) else [pair for each in pairs for pair in each]


def _turn(scene: Scene, lines: Sequence[Line], at: int, still: Collection[bytes]) -> _Turn | None:
    last = max((i for i, line in enumerate(lines) if line.slots[at] not in still), default=-1)
    if last < 0 or last + 1 >= len(lines):
        return None
    shown, before = scene.count(lines[-1]), scene.count(lines[last])
    if shown is None or before is None or abs(before - shown) * _SAME_WEIGHT > shown:
        return None
    after = scene.count(lines[last + 1])
    return _Turn(lines[last].slots[at], lines[last + 1].slots[at], before == after)


def _has_moved(scene: Scene, lines: Sequence[Line]) -> bool:
    """Tell whether the weight changed before it was steady."""
    counts = [count for line in lines if (count := scene.count(line)) is not None]
    return max(counts, default=0) - min(counts, default=0) > _CLEARLY_LOADED


def _tells_movement(scene: Scene, at: int, still: Collection[bytes]) -> bool:
    """Tell whether nearly every line between changing weights has another text than steady ones."""
    counts = [scene.count(line) for line in scene.lines]
    moving = [
        line.slots[at] not in still
        for i, line in enumerate(scene.lines)
        if 0 < i < len(counts) - 1 and _changes(counts[i - 1], counts[i], counts[i + 1])
    ]
    return len(moving) >= _LEAST_MOVING and sum(moving) >= _MOSTLY * len(moving)


def _changes(before: int | None, now: int | None, after: int | None) -> bool:
    if before is None or now is None or after is None:
        return False
    return abs(now - before) > _MOVED and abs(after - now) > _MOVED


def telling(
    scene: Scene, slots: Iterable[int], of: Callable[[Mass], Word | None]
) -> dict[int, dict[bytes, Word]]:
    """Find the slots whose text differs whenever something differs, and what each text then says.

    Args:
        scene: The lesson.
        slots: Where to look.
        of: What differs from load to load; none for loads that do not count.
    """
    wanted = {of(mass) for mass in scene.shown if mass is not None} - {None}
    found = {}
    for at in slots:
        said: dict[bytes, set[Word]] = defaultdict(set)
        for line in scene.steady:
            what = of(scene.mass(line))
            if what is not None:
                said[line.slots[at]].add(what)
        is_clear = all(len(each) == 1 for each in said.values())
        if is_clear and set().union(*said.values()) == wanted:
            words = {text: each.pop() for text, each in said.items()}
            if not _jumps(scene, at, words):
                found[at] = words
    return found


def _jumps(scene: Scene, at: int, words: Mapping[bytes, Word]) -> bool:
    """Tell whether sign or unit would change more often than a load can be lifted off and put on."""
    for example in range(len(scene.shown)):
        said = [
            word
            for line in scene.example(example)
            if (scene.count(line) or 0) >= _CLEARLY_LOADED
            and (word := words.get(line.slots[at])) is not None
        ]
        if sum(one != other for one, other in pairwise(said)) > _MOST_CHANGES:
            return True
    return False
