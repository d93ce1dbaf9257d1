"""Say what was found on a scale's line."""

from dataclasses import dataclass
from typing import Final

from shedstation.domain.message import Message
from shedstation.domain.scale_found import Found, Looking, Sure
from shedstation.words import Words

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


@dataclass(frozen=True, slots=True)
class FindingScreen:
    """What the page shows of a finding."""

    title: str
    reasons: str
    """Why, and what to try, a sentence a line."""

    can_be_used: bool


def finding_screen(found: Found | None, words: Words) -> FindingScreen:
    """Show a finding; none before there is one."""
    if found is None:
        return FindingScreen("", words.text("find.how"), can_be_used=False)
    why = [words.say(each) for each in found.why]
    tries = [f"→ {words.say(each)}" for each in found.to_try]
    usable = found.language is not None or found.is_text
    return FindingScreen(words.say(presented(found)), "\n\n".join([*why, *tries]), usable)


def looking_sentence(step: Looking | None, words: Words, *, is_going: bool) -> str:
    """Say how far a search is, or how to start one."""
    if not is_going:
        return words.text("find.start")
    return "" if step is None else words.say(step.say)
