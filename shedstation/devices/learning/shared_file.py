"""Write a learned language to a file that can be sent to a neighbour, and read one that came.

A file that came is not trusted: it holds columns, texts and codes only, every one is bounded, and what
is not just so is refused, with everything that is wrong.
"""

import json
import tomllib
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from shedstation.devices.languages.language import Language
from shedstation.devices.learning.compiling import as_language
from shedstation.devices.learning.row import NAME, Row
from shedstation.devices.learning.soundness import unsound
from shedstation.devices.learning.telling import shown
from shedstation.domain.errors import WorldFault
from shedstation.domain.message import Message

SUFFIX: Final = ".scale.toml"
MOST_BYTES: Final = 16_384
MOST_FILES: Final = 100
_MOST_SHOWN: Final = 40
_MOST_WRONG: Final = 20
_HEAD: Final = (
    "# A scale's language, learned by example: columns, texts and codes, nothing that is carried out.\n"
    "# Copy it into the folder scale_languages of a station's data, or open it on the Scale page.\n"
)
_EXPECTED: Final[Mapping[str, str]] = {
    "form": "teach.expect_form", "name": "teach.expect_name", "bits": "teach.expect_bits",
    "ends": "teach.expect_ends", "unit": "teach.expect_unit", "most": "teach.expect_mass",
    "sample": "teach.expect_text", "reads": "teach.expect_mass",
}  # fmt: skip
_IN_PART: Final[Mapping[str, str]] = {
    "text": "teach.expect_text", "holds": "teach.expect_holds", "least": "teach.expect_count",
    "most": "teach.expect_count", "fill": "teach.expect_fill", "point": "teach.expect_point",
    "decimals": "teach.expect_decimals", "digits": "teach.expect_count",
    "last_zeros": "teach.expect_count", "signs": "teach.expect_signs",
    "instead": "teach.expect_instead", "means": "teach.expect_means", "how": "teach.expect_how",
    "skip": "teach.expect_count", "gap": "teach.expect_count", "of": "teach.expect_of",
}  # fmt: skip


def write_language(row: Row, folder: Path) -> Path:
    """Write a row into a folder, under its name.

    Raises:
        WorldFault: if the row is unsound or the folder cannot be written.
    """
    path = folder / f"{row.name}{SUFFIX}"
    _raise(path, unsound(row))
    try:
        folder.mkdir(parents=True, exist_ok=True)
        fresh = path.with_name(f"{path.name}.new")
        fresh.write_text(as_text(row), encoding="ascii", newline="\n")
        fresh.replace(path)
    except OSError as error:
        values = {"file": str(path), "why": error.strerror or ""}
        raise WorldFault(Message("teach.cannot_write", values)) from error
    return path


def as_text(row: Row) -> str:
    """Give the text of a row's file."""
    whole = row.model_dump(mode="json", exclude_none=True, exclude={"part"})
    lines = [_HEAD, *(f"{key} = {_value(each)}" for key, each in whole.items())]
    for part in row.part:
        fields = {"kind": part.kind, **part.model_dump(mode="json", exclude_defaults=True)}
        lines += ["", "[[part]]", *(f"{key} = {_value(each)}" for key, each in fields.items())]
    return "\n".join(lines) + "\n"


def _value(value: object) -> str:
    """Write a value as TOML: texts are written as JSON does, which TOML reads alike."""
    if isinstance(value, Mapping):
        return (
            "{" + ", ".join(f"{_value(key)} = {_value(each)}" for key, each in value.items()) + "}"
        )
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    return json.dumps(value).replace("\x7f", "\\u007f")


def read_language(path: Path) -> Row:
    """Read a row from a file.

    Raises:
        WorldFault: if it cannot be read or is not in the form, with everything that is wrong.
    """
    raw = read_toml(path)
    try:
        row = Row.model_validate(raw)
    except ValidationError as error:
        wrong = [_said(each) for each in error.errors(include_url=False)]
        raise refused(path, wrong) from error
    _raise(path, unsound(row))
    return row


def _bytes(path: Path) -> bytes:
    try:
        if not path.is_file():
            raise WorldFault(Message("teach.no_file", {"file": str(path)}))
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        values = {"file": str(path), "why": getattr(error, "strerror", None) or str(error)}
        raise WorldFault(Message("teach.cannot_read", values)) from error
    if len(data) > MOST_BYTES:
        raise refused(path, [Message("teach.file_too_big", {"most": MOST_BYTES})])
    return data


def read_toml(path: Path) -> dict[str, Any]:
    """Read a file that is not trusted; whatever the parser trips over is the file's fault.

    Raises:
        WorldFault: if it cannot be read, is too big, or is no TOML in plain letters.
    """
    try:
        return tomllib.loads(_bytes(path).decode("ascii"))
    except UnicodeDecodeError as error:
        raise refused(path, [Message("teach.file_ascii")]) from error
    except (ValueError, RecursionError) as error:
        why = shown(str(error)[:_MOST_SHOWN])
        raise refused(path, [Message("teach.file_toml", {"why": why})]) from error


def _said(error: ErrorDetails) -> Message:
    """Say where something is wrong, and what was expected there."""
    place = error["loc"]
    if place[0] == "part":  # the third is the kind of part that was tried
        place = place[:2] + place[3:]
    key = ".".join(str(each + 1 if isinstance(each, int) else each) for each in place)
    values: dict[str, object] = {"key": shown(key)[:_MOST_SHOWN]}
    if error["type"] == "extra_forbidden":
        return Message("teach.file_unknown", values)
    known = [str(each) for each in place[1:] if str(each) in _IN_PART]
    expected = _IN_PART[known[0]] if known else _EXPECTED.get(str(place[0]), "teach.expect_parts")
    return Message("teach.file_key", {**values, "expected": Message(expected)})


def _raise(path: Path, wrong: list[Message]) -> None:
    if wrong:
        raise refused(path, wrong)


def refused(path: Path, wrong: list[Message]) -> WorldFault:
    """Give the fault that says everything that is wrong with a file."""
    values = {"file": path.name, "wrong": wrong[:_MOST_WRONG]}
    return WorldFault(Message("teach.file_refused", values))


def adopt(path: Path, folder: Path) -> Row:
    """Take over a file that came: it is read, checked, and written anew under its own name.

    Raises:
        WorldFault: if it is not in the form, or a language of that name is there already.
    """
    row = read_language(path)
    if (folder / f"{row.name}{SUFFIX}").exists():
        raise WorldFault(Message("teach.name_taken", {"name": row.name}))
    write_language(row, folder)
    return row


def is_name(text: str) -> bool:
    """Tell whether a language can be called that."""
    return len(text) <= _MOST_SHOWN and NAME.fullmatch(text) is not None


def learned_languages(folder: Path, tell: Callable[[WorldFault], None]) -> tuple[Language, ...]:
    """Give the languages in a folder of files; a file that is wrong is told and left out.

    Args:
        folder: It need not exist.
        tell: Is given what is wrong with each file that is left out.
    """
    found: dict[str, Language] = {}
    for path in _files(folder):
        try:
            row = read_language(path)
        except WorldFault as fault:
            tell(fault)
            continue
        if row.name in found:
            tell(WorldFault(Message("teach.name_taken", {"name": row.name})))
        else:
            found[row.name] = as_language(row)
    return tuple(found.values())


def _files(folder: Path) -> Iterator[Path]:
    if folder.is_dir():
        yield from sorted(folder.glob(f"*{SUFFIX}"))[:MOST_FILES]
