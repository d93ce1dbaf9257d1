"""Read label templates: size, texts and codes, in millimetres from the top left corner."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from shedstation import resources
from shedstation.domain.errors import WorldFault
from shedstation.domain.label_fields import FIELDS
from shedstation.domain.message import Message

REQUIRED: Final = (
    "commodity", "cultivar", "packed_on", "block", "net", "lot", "serial", "origin", "packer",
    "address", "serial_code",
)  # fmt: skip
_NAMES: Final = frozenset(field.name for field in FIELDS)
MM: Final = 72 / 25.4
"""Points in a millimetre."""


class _Form(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class _Item(_Form):
    field: str
    x_mm: float = Field(ge=0)
    """Left edge; of a code, the edge of its quiet zone."""

    y_mm: float = Field(ge=0)
    """Baseline of a text or top edge of a code, from the label's top edge."""

    width_mm: float = Field(gt=0)
    """Room it may take, a code's quiet zones included."""


class TextItem(_Item):
    """One line of text."""

    before: str = ""
    """Fixed words in front, such as `Packed `; left out with an empty field."""

    size_pt: float = Field(ge=5, le=72)
    least_pt: float | None = Field(default=None, ge=5)
    """Down to here long text may shrink; by default not at all."""

    narrowest: float = Field(default=1.0, ge=0.7, le=1.0)
    """Down to this share of their width letters may be set narrower at the least size; their height,
    which net weight rules ask for, stays."""

    bold: bool = False
    align: str = Field(default="left", pattern="^(left|right|centre)$")


class CodeItem(_Item):
    """One bar code."""

    kind: str = Field(pattern="^(code-128|gs1-128)$")
    height_mm: float = Field(ge=5)
    x_dots_203: int = Field(ge=2, le=8)
    """Width of a module in dots of a 203 dpi head; scaled to whole dots of any other head."""


class Template(_Form):
    """A label's layout."""

    width_mm: float = Field(gt=20, le=300)
    height_mm: float = Field(gt=10, le=300)
    text: tuple[TextItem, ...]
    code: tuple[CodeItem, ...]


@dataclass(frozen=True, slots=True)
class Named:
    """A template with its name."""

    name: str
    layout: Template


def read_template(name: str) -> Named:
    """Read a shipped template by name.

    Raises:
        WorldFault: if there is none, or it is not in the form, with all that is wrong.
    """
    path = resources.label_template(name)
    try:
        raw = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        values = {"template": name, "why": str(error)}
        raise WorldFault(Message("labels.cannot_read", values)) from error
    return Named(name, _checked(raw, path))


def _checked(raw: Mapping[str, Any], path: Path) -> Template:
    try:
        layout = Template.model_validate(raw)
    except ValidationError as error:
        wrong = [f"{'.'.join(map(str, each['loc']))}: {each['msg']}" for each in error.errors()]
        raise _bad(path, wrong) from error
    named = [item.field for item in (*layout.text, *layout.code)]
    wrong = [f"{name}: no such field" for name in named if name not in _NAMES]
    wrong += [f"{name}: missing" for name in REQUIRED if name not in named]
    if wrong:
        raise _bad(path, wrong)
    return layout


def _bad(path: Path, wrong: list[str]) -> WorldFault:
    return WorldFault(Message("labels.bad_template", {"file": path.name, "wrong": wrong}))
