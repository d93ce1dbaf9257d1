"""Keep what stands in the cups beside a scale as facts tell it, so that it outlives a stop.

The facts' payloads: `cup_filled` {cup, weight, load, grade, since}, `cup_emptied` {cup, weight, load,
grade, to: `box` or `tub`}, `cup_corrected` {cup, real, weight, load, grade}, `cups_doubted` {why:
`zero`, `unit` or `break`}.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import cast

from shedstation.domain.facts import Fact, Json, Kind
from shedstation.domain.mass import Mass
from shedstation.domain.payload import from_payload


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptCup:
    """The fruit in one cup."""

    cup: int
    weight: Mass
    load: str
    grade: str
    since: str
    """UTC time at which it was weighed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptCups:
    """What stands in the cups of one bench, lowest number first."""

    cups: tuple[KeptCup, ...] = ()
    doubted: str | None = None
    """UTC time of the last zero fault."""


def cups_after(kept: KeptCups, fact: Fact) -> KeptCups:
    """Give what stands in the cups once a fact about them is taken in.

    Raises:
        KeyError: if the fact empties or corrects a cup that nothing stands in.
    """
    if fact.kind is Kind.CUPS_DOUBTED:
        # The clock may have been set back since a cup was filled.
        return replace(kept, doubted=max((fact.at, *(each.since for each in kept.cups))))
    now = {each.cup: each for each in kept.cups}
    cup = cast("int", fact.payload["cup"])
    if fact.kind is Kind.CUP_FILLED:
        now[cup] = from_payload(KeptCup, fact.payload)
    elif fact.kind is Kind.CUP_EMPTIED:
        del now[cup]
    else:
        _swap(now, cup, fact.payload)
    return replace(kept, cups=tuple(now[each] for each in sorted(now)))


def _swap(now: dict[int, KeptCup], told: int, payload: Mapping[str, Json]) -> None:
    """Let a fruit stand in another cup than was told, and what was told there in this one."""
    real = cast("int", payload["real"])
    moved, other = now.pop(told), now.pop(real, None)
    now[real] = replace(moved, cup=real)
    if other is not None:
        now[told] = replace(other, cup=told)
