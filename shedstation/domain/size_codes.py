"""Give mangoes their size code by weight, and say whether a package keeps to its code.

Sources: Codex STAN 184 sections 3 and 4.2, UNECE FFV-45 section III, the AGMARK mango schedule; all
from memory, the difference allowed in UNECE code D with low confidence. Compare them with the standard
before a size code is printed as a claim.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from typing import Final

from shedstation.domain.mass import Mass, Unit

_SHARE_OUT: Final = Fraction(10, 100)
"""By number, so much of a package may be of another size (Codex 184 section 4.2; the others alike)."""

_CODEX_OUTER: Final = Fraction(3, 2)
"""With fruit of another size a package may differ within by half as much again (Codex 184, 4.2)."""


class SizeStandard(Enum):
    """Whose size codes are meant: the same letters stand for other weights in each."""

    CODEX = "codex"
    UNECE = "unece"
    AGMARK = "agmark"


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeCode:
    """One size code; weights in grams."""

    code: str
    least: Fraction
    most: Fraction | None
    """None where the code has no upper end."""

    difference: Fraction | None
    """Most by which fruit of one package may differ; none where the standard sets nothing."""

    outer: tuple[Fraction, Fraction] | None = None
    """Least and most that fruit of another size in the package may weigh, if the standard says so."""


def _code(
    code: str,
    least: int,
    most: int | None,
    difference: int | None = None,
    outer: tuple[int, int] | None = None,
) -> SizeCode:
    return SizeCode(
        code=code,
        least=Fraction(least),
        most=None if most is None else Fraction(most),
        difference=None if difference is None else Fraction(difference),
        outer=None if outer is None else (Fraction(outer[0]), Fraction(outer[1])),
    )


SIZE_CODES: Final = {
    SizeStandard.CODEX: (
        _code("A", 200, 350, 75, (180, 425)),
        _code("B", 351, 550, 100, (251, 650)),
        _code("C", 551, 800, 125, (426, 925)),
    ),
    SizeStandard.UNECE: (
        _code("A", 100, 350, 75),
        _code("B", 351, 550, 100),
        _code("C", 551, 800, 125),
        _code("D", 801, None, 125),
    ),
    SizeStandard.AGMARK: (
        _code("A", 100, 200),
        _code("B", 201, 350),
        _code("C", 351, 550),
        _code("D", 551, 800),
    ),
}
"""Lightest first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PackageSize:
    """How the fruit of one package keep to a size code."""

    code: SizeCode
    spread: Mass
    """Heaviest less lightest."""

    others: int
    """Fruit of another size."""

    others_allowed: int
    keeps_size: bool
    """Whether no more than the allowed share is of another size, and none beyond the outer limits."""

    keeps_difference: bool
    """Whether the spread is within what the standard lets one package differ."""


def size_code(weight: Mass, standard: SizeStandard) -> SizeCode | None:
    """Give the code of one fruit; none for what is lighter or heavier than all codes.

    The standards count whole grams: a fruit heavier than the last gram of a code is of the next one, so
    one of 350.4 g is no A (our reading; a scale that shows whole grams never asks).
    """
    weighs = weight.measured_in(Unit.G)
    codes = SIZE_CODES[standard]
    if weighs < codes[0].least:
        return None
    return next((each for each in codes if each.most is None or weighs <= each.most), None)


def package_size(weights: Sequence[Mass], standard: SizeStandard) -> PackageSize | None:
    """Judge the fruit of one package by the code that most of them have, the lighter of equals.

    Returns:
        The judgement; none if no fruit has a code.
    """
    codes = [size_code(weight, standard) for weight in weights]
    known = [each for each in codes if each is not None]
    if not known:
        return None
    code = max(SIZE_CODES[standard], key=known.count)
    others = [weight for weight, each in zip(weights, codes, strict=True) if each is not code]
    allowed = int(len(weights) * _SHARE_OUT)
    spread = max(weights) - min(weights)
    return PackageSize(
        code=code,
        spread=spread,
        others=len(others),
        others_allowed=allowed,
        keeps_size=len(others) <= allowed and all(_is_near(each, code) for each in others),
        keeps_difference=_keeps_difference(spread, code, has_others=bool(others)),
    )


def _is_near(weight: Mass, code: SizeCode) -> bool:
    return code.outer is None or code.outer[0] <= weight.measured_in(Unit.G) <= code.outer[1]


def _keeps_difference(spread: Mass, code: SizeCode, *, has_others: bool) -> bool:
    if code.difference is None:
        return True
    widened = has_others and code.outer is not None
    return spread.measured_in(Unit.G) <= code.difference * (_CODEX_OUTER if widened else 1)
