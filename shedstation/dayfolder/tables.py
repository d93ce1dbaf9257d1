"""Check one table or object of a file against its form."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from shedstation.dayfolder.fields import Field, WrongValue
from shedstation.dayfolder.findings import Findings
from shedstation.domain.message import Message

_SHOWN: Final = 80


def checked(
    form: Mapping[str, Field],
    row: Mapping[str, Any],
    line_of: Callable[[str], int],
    findings: Findings,
) -> dict[str, Any]:
    """Give the row's values checked; what is missing, unknown or wrong goes to the findings."""
    good: dict[str, Any] = {}
    for key, field in form.items():
        if key in row:
            _check_one(key, field, row[key], line_of, findings, good)
        elif field.is_needed:
            findings.add(line_of(key), "missing", key=key)
    for key in row:
        if key not in form and not key.startswith("x_"):
            findings.add(line_of(key), "unknown_key", key=_short(key), known=sorted(form))
    return good


def _check_one(  # noqa: PLR0917  # private, the row being read and where findings go
    key: str,
    field: Field,
    value: object,
    line_of: Callable[[str], int],
    findings: Findings,
    good: dict[str, Any],
) -> None:
    try:
        good[key] = field.check(value)
    except WrongValue as wrong:
        expected = Message(f"files.expect_{wrong.expected}", wrong.values)
        findings.add(line_of(key), "wrong_value", key=key, found=_short(value), expected=expected)


def _short(value: object) -> str:
    """Show what was found, control characters made visible, cut where it is long."""
    text = ascii(value) if isinstance(value, str) and not value.isprintable() else repr(value)
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}..."
