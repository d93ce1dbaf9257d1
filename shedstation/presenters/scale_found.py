"""Say what was found on a scale's line."""

from typing import Final

from shedstation.domain.message import Message
from shedstation.domain.scale_found import Found, Sure

_NAMES: Final = {
    Sure.SURE: "find.sure",
    Sure.LIKELY: "find.likely",
    Sure.NOT_SURE: "find.not_sure",
    Sure.NOTHING: "find.nothing",
}


def presented(found: Found) -> Message:
    """Give the one sentence that says what was found, and how sure that is."""
    setting = f"{found.baud or ''} {found.bits or ''}".strip()
    return Message(_NAMES[found.sure], {"language": found.language or "", "setting": setting})
