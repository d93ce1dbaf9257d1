"""Find which characters tell the sign, the unit and whether the pan is still."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence, Set
from dataclasses import dataclass, field
from typing import Final

from shedstation.devices.learning.aligning import Line
from shedstation.devices.learning.places import Place
from shedstation.devices.learning.row import Word
from shedstation.domain.mass import Mass

_CLEARLY_LOADED: Final = 20
"""Counts under which a weight may as well have crossed zero."""

_SAME_WEIGHT: Final = 10
"""Weights that differ by less than one in this many are one load coming to rest."""

_LEAST_SETTLED: Final = 2
_LEAST_MOVING: Final = 3
_MOVED: Final = 3
_MOSTLY: Final = 0.7


@dataclass(frozen=True, slots=True)
class Scene:
    """All lines of a lesson, in order, with what was shown and where the weight stands."""

    lines: Sequence[Line]
    shown: Sequence[Mass | None]
    """By example."""

    place: Place

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
    if not others:
        return texts
    still = texts.words.keys()
    settled = _settled(scene, at, still)
    is_mark = bool(settled) and settled.most_common(1)[0][1] >= _LEAST_SETTLED
    if is_mark:
        for moving, steady in settled:
            texts.became.setdefault(moving, set()).add(steady)
    texts.is_state = is_mark and _tells_movement(scene, at, still)
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
        words |= steady
    texts.words |= inherited


def _settled(scene: Scene, at: int, still: Set[bytes]) -> Counter[tuple[bytes, bytes]]:
    """Count, over the examples, the last other text before rest with the text it became.

    The same weight must stand with both: a letter that tells the sign, or a zero, does not pass.
    """
    found: Counter[tuple[bytes, bytes]] = Counter()
    for example in {line.seen.example for line in scene.steady}:
        lines = scene.example(example)
        shown = scene.place.count(lines[-1].slots) or 0
        last = max((i for i, line in enumerate(lines) if line.slots[at] not in still), default=-1)
        if last < 0 or last + 1 >= len(lines) or shown < _CLEARLY_LOADED:
            continue
        before = scene.place.count(lines[last].slots)
        if before is not None and abs(before - shown) * _SAME_WEIGHT <= shown:
            found[lines[last].slots[at], lines[last + 1].slots[at]] += 1
    return found


def _tells_movement(scene: Scene, at: int, still: Set[bytes]) -> bool:
    """Tell whether nearly every line between changing weights has another text than steady ones."""
    counts = [scene.place.count(line.slots) for line in scene.lines]
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
        if all(len(each) == 1 for each in said.values()) and set().union(*said.values()) == wanted:
            found[at] = {text: each.pop() for text, each in said.items()}
    return found
