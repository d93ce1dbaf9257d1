"""Learn what a scale sends beyond its range, where its display shows no number."""

from collections.abc import Sequence

from shedstation.devices.learning.places import Place
from shedstation.devices.learning.sketch import Sketch


def learn_beyond(sketch: Sketch) -> None:
    """Note what stands in place of the number there, and what the mark of steadiness is there.

    Anything else that came only there may as well be a check, so such frames stay bad ones.
    """
    over = sketch.over
    if not over or any(
        place.count(line.slots) is not None for place in _places(sketch) for line in over
    ):
        return
    for place in _places(sketch):
        texts = {place.text(line.slots) for line in over}
        sketch.instead[place.first] = sorted(text.decode("ascii") for text in texts)
    for at, mark in sketch.texts.items():
        seen = {line.slots[at] for line in over}
        if mark.is_state and len(seen) == 1 and not seen & mark.words.keys():
            mark.words[seen.pop()] = {"over"}


def _places(sketch: Sketch) -> Sequence[Place]:
    return sketch.weighing.every
