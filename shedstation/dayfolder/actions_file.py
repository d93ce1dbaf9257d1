"""Read a day's actions, one object per line, and tell all that is wrong with them at once."""

import json
from collections.abc import Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from shedstation.dayfolder.action_forms import build, forms_for, settable
from shedstation.dayfolder.fields import (
    Field,
    WrongValue,
    a_serial_or_range,
    a_text,
    needed,
    one_of,
    one_or_several,
    optional,
)
from shedstation.dayfolder.findings import Findings
from shedstation.dayfolder.tables import checked
from shedstation.dayfolder.texts import read_text
from shedstation.domain.farm import Setup
from shedstation.station.actions import DO, Action

_LATEST_S: Final = Decimal(7 * 24 * 3600)
_MOST_LINE: Final = 100_000


class _Repeated(ValueError):
    """A key given twice in one object."""


def read_actions(path: Path, setup: Setup) -> tuple[Action, ...]:
    """Read a day's actions for a setup.

    Raises:
        BadFile: with every finding, each with its line; nothing may then be carried out.
        WorldFault: if the file cannot be read at all.
    """
    findings = Findings(path)
    reader = _Reader(setup, findings)
    for number, line in enumerate(read_text(path).split("\n"), start=1):
        if line.strip():
            reader.read(number, line.rstrip("\r"))
    findings.raise_any()
    return tuple(reader.actions)


class _Reader:
    """Reads line after line, remembering the last time and what was wrong."""

    def __init__(self, setup: Setup, findings: Findings) -> None:
        self.actions: list[Action] = []
        self._setup = setup
        self._findings = findings
        self._forms = forms_for(setup)
        self._benches = [bench.name for bench in setup.benches]
        self._common = _common(setup)
        self._last_s = Decimal(0)

    def read(self, number: int, line: str) -> None:
        before = len(self._findings.found)
        row = self._object(number, line)
        if row is None:
            return
        do = row.pop("do", None)
        if not isinstance(do, str) or do not in DO:
            self._findings.add(number, "unknown_action", found=str(do)[:40], known=sorted(DO))
            return
        form = {**self._common, **self._forms[do]}
        good = checked(form, row, lambda _key: number, self._findings)
        self._check_time(number, good.get("at_s"))
        if do == "correct" and "what" in good and "set" in good:
            self._check_correction(number, good)
        if len(self._findings.found) == before:
            self._make(number, do, good)

    def _make(self, number: int, do: str, good: dict[str, Any]) -> None:
        good["at_s"] = float(good["at_s"])
        good.setdefault("bench", self._benches[0])
        try:
            self.actions.append(build(DO[do], {**good, "line": number}))
        except WrongValue as wrong:
            self._findings.add(number, f"needs_{wrong.expected}", do=do)

    def _check_correction(self, number: int, good: dict[str, Any]) -> None:
        form = settable(self._setup, good["what"])
        good["set"] = checked(form, good["set"], lambda _key: number, self._findings)
        if good["what"] == "box":
            which = {"which": needed(one_or_several(a_serial_or_range))}
            row = {"which": list(good.get("which", []))}
            checked(which, row, lambda _key: number, self._findings)

    def _object(self, number: int, line: str) -> dict[str, Any] | None:
        try:
            if len(line) > _MOST_LINE:
                raise ValueError("line too long")  # noqa: TRY003, TRY301  # becomes the finding
            row = json.loads(
                line, parse_float=Decimal, parse_constant=_no_constant, object_pairs_hook=_once
            )
        except _Repeated as repeated:
            self._findings.add(number, "key_twice", key=str(repeated))
            return None
        except (ValueError, RecursionError, ArithmeticError) as error:
            self._findings.add(number, "json", why=str(error)[:120])
            return None
        if not isinstance(row, dict):
            self._findings.add(number, "not_an_object")
            return None
        return row

    def _check_time(self, number: int, at_s: object) -> None:
        if not isinstance(at_s, Decimal):
            return
        if at_s < self._last_s:
            self._findings.add(number, "time_falls", at_s=str(at_s), before=str(self._last_s))
        self._last_s = max(self._last_s, at_s)


def _no_constant(text: str) -> None:
    raise ValueError(text)


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    row = dict(pairs)
    if len(row) < len(pairs):
        keys = [key for key, _ in pairs]
        raise _Repeated(next(key for key in keys if keys.count(key) > 1))
    return row


def _seconds(value: Any) -> Decimal:  # noqa: ANN401  # from a file, it can be anything
    good = isinstance(value, int | Decimal) and not isinstance(value, bool)
    if not good or not 0 <= Decimal(value) <= _LATEST_S:
        raise WrongValue("seconds")
    return Decimal(value)


def _common(setup: Setup) -> Mapping[str, Field]:
    benches = {bench.name for bench in setup.benches}
    bench = one_of(benches)
    return {
        "at_s": needed(_seconds),
        "bench": needed(bench) if len(benches) > 1 else optional(bench),
        "by": optional(one_of({person.code for person in setup.people})),
        "note": optional(a_text),
    }
