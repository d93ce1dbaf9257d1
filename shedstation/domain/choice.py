"""Hold what a bench packs until it chooses again."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The load, pack and grade that the next boxes get."""

    load: str
    block: str
    cultivar: str
    picked_on: date
    pack: str
    grade: str
    lot: str
