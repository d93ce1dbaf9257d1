"""The habits of the code: sizes, places, words."""

import ast
import re
import statistics
import string
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from hatchling.builders.wheel import WheelBuilder

from shedstation import resources
from shedstation.words import LANGUAGES, read_catalogue

TOP = Path(__file__).parents[2]
SOURCES = [*TOP.glob("shedstation/**/*.py"), *TOP.glob("tests/**/*.py")]
CODE = [*TOP.glob("shedstation/**/*.py")]


def definitions() -> Iterator[tuple[Path, ast.AST, int]]:
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
                yield path, node, (node.end_lineno or node.lineno) - node.lineno + 1


def test_that_files_functions_and_classes_stay_small() -> None:
    long = [str(p) for p in SOURCES if len(p.read_text(encoding="utf-8").splitlines()) > 400]
    for path, node, lines in definitions():
        most = 250 if isinstance(node, ast.ClassDef) else 60
        if lines > most:
            long.append(f"{path}:{getattr(node, 'lineno', 0)}: {lines} lines")
    assert long == []


def test_that_most_functions_are_very_small() -> None:
    lines = [n for p, d, n in definitions() if p in CODE and isinstance(d, ast.FunctionDef)]
    assert statistics.median(lines) <= 8
    assert sum(n < 30 for n in lines) / len(lines) >= 0.9


def test_that_the_top_level_holds_what_was_agreed() -> None:
    agreed = {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE", "shedstation", "ui_forms",
        "label_templates", "tests", "sample_shed_day",
    }  # fmt: skip
    made_here = {"out", "build", "dist"}
    found = {path.name for path in TOP.iterdir() if not path.name.startswith(".")}
    assert agreed <= found <= agreed | made_here


def test_that_no_file_names_a_machine_or_a_registry() -> None:
    hosts = r"py" + r"pi\.|npm" + r"js\.|deb\.debian|--index" + r"-url"
    paths = r"[\"' (=](/work|/home/[a-z]+|/root)/"
    bad = re.compile(f"{hosts}|{paths}")
    for pattern in (
        "shedstation/**/*",
        "tests/**/*",
        "sample_shed_day/*",
        "*.md",
        "*.toml",
        ".ci/*",
    ):
        for path in TOP.glob(pattern):
            if path.suffix in {".ttf", ".png", ".cap", ".pyc", ".db"} or not path.is_file():
                continue
            assert not bad.search(path.read_text(encoding="utf-8")), path


def test_that_signals_lose_no_references() -> None:
    # WORKAROUND: PySide6 6.12.0 on Python 3.11 loses one per emit and dies after some hundreds.
    from PySide6.QtCore import QObject, Signal  # noqa: PLC0415  # only here

    class Bell(QObject):
        rang = Signal(bool)

    bell = Bell()
    before = sys.getrefcount(True), sys.getrefcount(None)
    for _ in range(100):
        bell.rang.emit(True)
        bell.setObjectName("bell")
    after = sys.getrefcount(True), sys.getrefcount(None)
    assert all(a > b - 50 for a, b in zip(after, before, strict=True))


def test_that_a_wheel_carries_forms_templates_and_the_sample_day(tmp_path: Path) -> None:
    builder = WheelBuilder(str(TOP))
    wheel = next(builder.build(directory=str(tmp_path), versions=["standard"]))
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder in ("ui_forms", "label_templates", "sample_shed_day"):
        for path in (TOP / folder).iterdir():
            if path.is_file():
                assert f"shedstation/_data/{folder}/{path.name}" in names
    for name in (
        "fonts/AtkinsonHyperlegible-Bold.ttf",
        "catalogues/es/shedstation.po",
        "tables/mango_defects.csv",
    ):
        assert f"shedstation/{name}" in names


def test_that_a_missing_folder_is_told_with_both_places() -> None:
    with pytest.raises(FileNotFoundError, match="_data"):
        resources.folder("no_such_folder")


# ---- words

NAME = re.compile(r"[a-z]+\.[a-z0-9_]+")
FAMILIES = {
    # Names that are put together at run time, by what they begin with.
    "bench.", "refused.", "files.expect_", "files.needs_", "export.column_", "export.table_",
    "export.kind_", "export.size_",
    "export.where_", "export.verdict_", "export.tare_by_", "export.by_", "ui.link_", "ui.tare_by_",
    "line.", "ui.line_", "ui.read_", "ui.sends_",
    "ui.job_", "ui.net_", "ui.spool_", "ui.step_", "ui.note_", "date.",
    "check.apart_", "check.outcome_", "check.part_", "check.place_", "check.spread_", "check.stage_",
    "check.standard_", "trim.cup_",
    "audit.figure_", "audit.outcome_", "audit.rule_", "audit.said_",
}  # fmt: skip


def names_in_code() -> set[str]:
    found = set()
    for path in CODE:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                found.add(node.value)
    for form in (TOP / "ui_forms").glob("*.ui"):
        found |= set(re.findall(r">(ui\.[a-z_0-9]+)<", form.read_text(encoding="utf-8")))
    for finding in re.findall(r'findings\.add\(\s*[^,]+?(?:\([^)]*\))?,\s*"([a-z_]+)"', all_code()):
        found.add(f"files.{finding}")
    return found


def all_code() -> str:
    return "\n".join(path.read_text(encoding="utf-8") for path in CODE)


def catalogue(language: str) -> dict[str, tuple[str, ...]]:
    said = {}
    for message in read_catalogue(language):
        if message.id:
            name = message.id if isinstance(message.id, str) else message.id[0]
            found = message.string if isinstance(message.string, tuple) else (message.string,)
            texts = tuple(str(each or "") for each in found)
            said[name] = texts
    return said


def test_that_every_language_says_the_same_names_with_the_same_places() -> None:
    english = catalogue("en")
    for language in LANGUAGES:
        other = catalogue(language)
        assert set(other) == set(english)
        for name, texts in other.items():
            assert all(texts), name
            assert places(texts) == places(english[name]), name
            assert len(texts) == len(english[name]), name


def places(texts: tuple[str, ...]) -> set[str]:
    return {place for text in texts for _, place, _, _ in string.Formatter().parse(text) if place}


def test_that_no_message_is_missing_or_unused() -> None:
    used, said = names_in_code(), set(catalogue("en"))
    prefixes = {name.split(".")[0] for name in said}
    files = {".json", ".toml", ".po", ".ui", ".db", ".pdf", ".cap", ".jsonl", ".xlsx", ".lock"}
    missing = {
        name
        for name in used
        if NAME.fullmatch(name) and name.split(".")[0] in prefixes and name not in said
        and name not in FAMILIES and not name.endswith("_")
        and not any(name.endswith(each) for each in files)
    }  # fmt: skip
    assert missing == set()
    unused = {n for n in said - used if not any(n.startswith(family) for family in FAMILIES)}
    assert unused == set()


def test_that_every_refusal_and_expectation_has_a_sentence() -> None:
    said = set(catalogue("en"))
    refusals = set(re.findall(r'Refused\(\s*"([a-z_]+)"', all_code()))
    refusals |= set(re.findall(r'Step\.[A-Z_]+: "([a-z_]+)",', all_code()))
    assert {f"refused.{code}" for code in refusals} <= said
    expected = set(re.findall(r'WrongValue\("([a-z_0-9]+)"', all_code()))
    build = (TOP / "shedstation/dayfolder/action_forms.py").read_text(encoding="utf-8")
    together = set(re.findall(r'WrongValue\("([a-z_]+)"', build.split("def build")[1]))
    assert {f"files.needs_{name}" for name in together} <= said
    assert {f"files.expect_{name}" for name in expected - together} <= said
