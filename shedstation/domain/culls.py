"""Hold culled fruit and sum it by defect."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from shedstation.domain.mass import Mass


class Where(Enum):
    """Where in the shed a fruit was culled."""

    INTAKE = "intake"
    WASH = "wash"
    BENCH = "bench"
    HOLD = "hold"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cull:
    """One cull entry, after all corrections."""

    id: str
    load: str
    lot: str
    block: str
    cultivar: str
    defect: str
    count: int | None
    weight: Mass | None
    where: Where
    at: str = ""
    by: str | None = None
    corrected: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DefectSum:
    """All culls of one defect together."""

    defect: str
    entries: int
    count: int
    """Fruit, over the entries that give a count."""

    weight: Mass | None
    """Weight, over the entries that give one; none if no entry does."""


def culls_by_defect(culls: Iterable[Cull]) -> tuple[DefectSum, ...]:
    """Sum culls by defect, most fruit first, ties by weight and then by code (a Pareto order)."""
    sums: dict[str, DefectSum] = {}
    for cull in culls:
        before = sums.get(cull.defect)
        sums[cull.defect] = _grown(before, cull)
    return tuple(sorted(sums.values(), key=_most_first))


def _grown(before: DefectSum | None, cull: Cull) -> DefectSum:
    if before is None:
        return DefectSum(defect=cull.defect, entries=1, count=cull.count or 0, weight=cull.weight)
    return DefectSum(
        defect=cull.defect,
        entries=before.entries + 1,
        count=before.count + (cull.count or 0),
        weight=_sum(before.weight, cull.weight),
    )


def _sum(one: Mass | None, other: Mass | None) -> Mass | None:
    if one is None or other is None:
        return one or other
    if one.unit is not other.unit:
        other = other.in_unit(one.unit, other.decimals)
    return one + other


def _most_first(each: DefectSum) -> tuple[int, float, str]:
    weight = float(each.weight.nanograms) if each.weight else 0.0
    return (-each.count, -weight, each.defect)
