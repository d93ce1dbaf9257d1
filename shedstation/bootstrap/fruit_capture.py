"""Tell the fruit of a recording of one box, for the command line."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from shedstation.bootstrap.headless import languages_named
from shedstation.devices.languages.decode import language_of, scale_events
from shedstation.domain.day import fruit_json
from shedstation.domain.errors import WorldFault
from shedstation.domain.fruit.step import FruitStep
from shedstation.domain.fruit.told import fruit_told
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.reading import Reading, ScaleEvent
from shedstation.domain.size_codes import SizeStandard
from shedstation.station.one_box import follow_one_box, shown_division


def box_of_capture(
    capture: Path, name: str, data: Path, standard: SizeStandard, division: Mass | None
) -> dict[str, Any]:
    """Give tare, net, steps and fruit of the one box that a capture shows being filled.

    Args:
        capture: A recording that begins with an empty pan; the first load is the empty box.
        name: The language of the scale, `auto`, or the file of a learned one.
        data: The data folder with learned languages, if there is one.
        standard: By whose codes the fruit are sized.
        division: The scale's division; none to take it from the weights shown.

    Raises:
        WorldFault: if the capture cannot be read, or does not show such a box.
    """
    spoken = language_of(capture, *languages_named(name, data))

    def events(step: Mass | None) -> Iterator[ScaleEvent]:
        return scale_events(capture, spoken, step)

    division = division or _division(capture, events(None))
    box = follow_one_box(events(division), division)
    told = fruit_told(box.steps, lambda at_s: f"{at_s:.3f}", standard)
    return {
        "language": spoken.language.name,
        "division": str(division),
        "tare": str(box.tare),
        "net": str(box.net),
        "steps": [_step(each) for each in box.steps],
        **fruit_json(told),
    }


def _division(capture: Path, events: Iterator[ScaleEvent]) -> Mass:
    readings = [each for each in events if isinstance(each, Reading)]
    try:
        return shown_division(readings)
    except ValueError:
        raise WorldFault(Message("scale.nothing_read", {"file": str(capture)})) from None


def _step(step: FruitStep) -> dict[str, object]:
    return {
        "at_s": round(step.at_s, 3),
        "change": str(step.change),
        "fruit": step.fruit,
        "sure": step.sure,
        "kind": step.kind.value,
    }


def box_said(box: dict[str, Any]) -> Iterator[Message]:
    """Say in sentences what was told of a box, as `box_of_capture` gives it."""
    yield Message("fruit.box", {key: box[key] for key in ("tare", "net", "division", "language")})
    if not box["sure"]:
        yield Message("fruit.unsure", {"others": [each["weight"] for each in box["others"]]})
    if box["weights"]:
        values = {key: box[key] for key in ("smallest", "largest", "spread", "mean")}
        yield Message("fruit.single", {**values, "count": len(box["weights"])})
    if box["size_code"] is not None:
        kept = box["keeps_size"] and box["keeps_spread"]
        values = {"standard": Message(f"export.size_{box['size_standard']}")}
        name = "fruit.size_kept" if kept else "fruit.size_not_kept"
        yield Message(name, {**values, "code": box["size_code"]})
