"""Find what ships beside the code: forms, label templates, the sample day, fonts, tables."""

from pathlib import Path
from typing import Final

_PACKAGE: Final = Path(__file__).parent


def folder(name: str) -> Path:
    """Give a shipped folder: in a wheel beside the code, in a checkout at its top.

    Raises:
        FileNotFoundError: if it is in neither place.
    """
    places = (_PACKAGE / "_data" / name, _PACKAGE.parent / name)
    for place in places:
        if place.is_dir():
            return place
    msg = f"Cannot find the folder {name}: expected {places[0]} or {places[1]}. Install again."
    raise FileNotFoundError(msg)


def form(name: str) -> Path:
    """Give a form's file."""
    return folder("ui_forms") / f"{name}.ui"


def label_template(name: str) -> Path:
    """Give a label template's file, whether or not it exists."""
    return folder("label_templates") / f"{name}.toml"


def label_template_names() -> tuple[str, ...]:
    """Give the names of the shipped label templates."""
    return tuple(sorted(path.stem for path in folder("label_templates").glob("*.toml")))


def font(name: str) -> Path:
    """Give a font's file."""
    return _PACKAGE / "fonts" / f"{name}.ttf"


def mark(name: str) -> Path:
    """Give a small drawing's file."""
    return _PACKAGE / "marks" / f"{name}.svg"


def table(name: str) -> Path:
    """Give a shipped table's file."""
    return _PACKAGE / "tables" / f"{name}.csv"
