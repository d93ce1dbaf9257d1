"""Hold a learned language as plain data: columns, texts and codes, nothing that is carried out.

The same form is what a shared file holds, so everything is bounded here: whoever wrote the file, a
frame stays short and what is read from it stays simple.
"""

import re
from collections.abc import Iterator
from typing import Annotated, Final, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from shedstation.devices.languages.bits import Bits
from shedstation.domain.mass import Unit

MOST_PARTS: Final = 60
MOST_TEXTS: Final = 40
MOST_DIGITS: Final = 9
NAME: Final = re.compile(r"[a-z]+(-[a-z0-9]+)*")

_SEVEN_BITS: Final = r"^[\x00-\x7f]*$"
_Text = Annotated[str, StringConstraints(min_length=1, max_length=64, pattern=_SEVEN_BITS)]
_Frame = Annotated[str, StringConstraints(min_length=1, max_length=128, pattern=_SEVEN_BITS)]
_Width = Annotated[int, Field(ge=1, le=64, strict=True)]
_Few = Annotated[int, Field(ge=0, le=6, strict=True)]
_UnitName = Literal["lb", "oz", "lb-oz", "kg", "g"]

Sign = Literal["plus", "minus", "zero"]
Beyond = Literal["over", "under", "fault"]
Word = Literal["plus", "minus", "zero", "steady", "moving", "over", "under", "fault"] | _UnitName
"""What a mark may say; `zero` says that the number is nothing at all."""

Class = Literal["digits", "hex", "letters", "word", "printable", "any"]
How = Literal[
    "xor-hex", "sum-hex", "sum-complement-hex", "xor-byte", "sum-byte", "sum-complement-byte",
    "sum-digit", "sum-two-digits",
]  # fmt: skip


Holds = Literal["weight", "pounds", "ounces", "same", "other"]


class _Form(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class TextPart(_Form):
    """What stands in every frame alike."""

    kind: Literal["text"] = "text"
    text: _Text


class NumberPart(_Form):
    """A number in decimal digits."""

    kind: Literal["number"] = "number"
    holds: Holds
    """`same` must be the same number as the weight; `other` is read over."""

    least: _Width
    most: _Width
    """Characters it takes, sign, point and filling included."""

    fill: Literal["none", "before", "after"] = "none"
    """Where spaces fill it up."""

    point: Literal["", ".", ","] = ""
    decimals: dict[_UnitName, _Few] = Field(default_factory=dict, max_length=5)
    """Digits after the point, sent or implied, by unit."""

    digits: int = Field(default=MOST_DIGITS, ge=1, le=MOST_DIGITS, strict=True)
    """Most digits without leading zeros."""

    last_zeros: _Few = 0
    """Digits at the end that are always 0."""

    signs: dict[Literal["", "+", "-"], Sign] = Field(default_factory=dict, max_length=3)
    """What a sign before the digits says, or that there is none; empty if signs stand elsewhere."""

    instead: dict[_Text, Beyond] = Field(default_factory=dict, max_length=8)
    """Texts that stand in its place beyond the range."""


class MarkPart(_Form):
    """One of a few texts that were seen, with what each says; any other text is a bad frame."""

    kind: Literal["mark"] = "mark"
    means: dict[_Text, tuple[Word, ...]] = Field(min_length=1, max_length=MOST_TEXTS)


class CheckPart(_Form):
    """A check over what stands before it."""

    kind: Literal["check"] = "check"
    how: How
    skip: _Few
    """Characters at the frame's beginning that are not checked."""

    gap: _Few
    """Characters right before the check that are not checked."""


class AnyPart(_Form):
    """Characters that say nothing about the weight: only their kind and number are looked at."""

    kind: Literal["any"] = "any"
    of: Class
    least: _Width
    most: _Width


Part = Annotated[
    TextPart | NumberPart | MarkPart | CheckPart | AnyPart, Field(discriminator="kind")
]


class Row(_Form):
    """A learned language."""

    form: Literal[1] = 1
    name: Annotated[str, StringConstraints(max_length=40, pattern=f"^{NAME.pattern}$")]
    bits: Bits = Bits.PLAIN
    ends: Literal["line", "etx", "block"] = "line"
    """What cuts frames: CR and LF, ETX, or their length after a start byte."""

    unit: _UnitName | None = None
    """The unit of every number; none if the frames say it."""

    most: Annotated[str, StringConstraints(max_length=40)] | None = None
    """The heaviest weight that is believed, as text."""

    sample: _Frame
    reads: Annotated[str, StringConstraints(max_length=40)]
    """What the sample says, as text: a file that does not read its own sample is refused."""

    part: tuple[Part, ...] = Field(min_length=1, max_length=MOST_PARTS)

    @property
    def fixed_unit(self) -> Unit | None:
        """Get the unit of every number."""
        return None if self.unit is None else Unit(self.unit)

    def numbers(self) -> Iterator[NumberPart]:
        """Give the numbers in order."""
        return (part for part in self.part if isinstance(part, NumberPart))

    def marks(self) -> Iterator[MarkPart]:
        """Give the marks in order."""
        return (part for part in self.part if isinstance(part, MarkPart))
