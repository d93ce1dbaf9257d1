"""Say of a box what its scale told of the fruit."""

from shedstation.domain.box import Box
from shedstation.domain.message import Message


def with_fruit(said: Message, box: Box) -> Message:
    """Add what is known of a box's fruit to a sentence about the box: count, weights, size code."""
    count, told = box.fruit_count, box.fruit
    if count is not None:
        said = Message("ui.traced_count", {"box": said, "count": count})
    if told is None:
        return said
    if told.smallest is not None and told.largest is not None and not told.unsure:
        values = {"box": said, "smallest": told.smallest, "largest": told.largest}
        said = Message("ui.traced_weights", values)
    elif told.count is None:
        said = Message("ui.traced_unsure", {"box": said})
    code = told.kept_code
    return said if code is None else Message("ui.traced_size", {"box": said, "code": code})
