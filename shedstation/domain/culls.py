"""Hold culled fruit and sum it by defect."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum

from shedstation.domain.mass import Mass, add_up
from shedstation.domain.shares import Share, share_of


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
    by_defect: dict[str, list[Cull]] = {}
    for cull in culls:
        by_defect.setdefault(cull.defect, []).append(cull)
    sums = (_sum_of(defect, entries) for defect, entries in by_defect.items())
    return tuple(sorted(sums, key=_most_first))


def shares_of_fruit(sums: Sequence[DefectSum]) -> tuple[Share | None, ...]:
    """Give each defect's share of all fruit that were counted; none for one without a count."""
    every = sum(each.count for each in sums)
    return tuple(share_of(each.count, every) if each.count else None for each in sums)


def _sum_of(defect: str, entries: Sequence[Cull]) -> DefectSum:
    return DefectSum(
        defect=defect,
        entries=len(entries),
        count=sum(cull.count or 0 for cull in entries),
        weight=add_up(cull.weight for cull in entries if cull.weight is not None),
    )


def _most_first(each: DefectSum) -> tuple[int, float, str]:
    weight = float(each.weight.nanograms) if each.weight else 0.0
    return (-each.count, -weight, each.defect)
