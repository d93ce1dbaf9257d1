"""Shares of culled fruit against the score interval's formula and a worked ranking.

Sources: wilson_vectors.csv, computed by the formula as three public pages print it; pareto_vectors.csv,
constructed; see their first lines.
"""

from itertools import accumulate

import pytest
from vector_files import rows

from shedstation.domain.culls import Cull, Where, culls_by_defect, shares_of_fruit
from shedstation.domain.message import Message
from shedstation.domain.shares import share_of


@pytest.mark.parametrize(
    "row",
    rows("wilson_vectors"),
    ids=lambda row: f"{row['x']}-{row['n']}-{row['confidence_level']}",
)
def test_that_an_interval_is_that_of_the_score_test(row: dict[str, str]) -> None:
    share = share_of(int(row["x"]), int(row["n"]), float(row["confidence_level"]))
    assert share.least == pytest.approx(float(row["lower"]), abs=1e-8)
    assert share.most == pytest.approx(float(row["upper"]), abs=1e-8)
    assert share.least <= share.share <= share.most


@pytest.mark.parametrize(("found", "of"), [(-1, 5), (6, 5), (0, 0)])
def test_that_no_share_is_given_of_what_cannot_be(found: int, of: int) -> None:
    with pytest.raises(ValueError, match=f"A share of {found} in {of}: expected 0 to {of}"):
        share_of(found, of)


def cull(defect: str, count: int | None) -> Cull:
    where = {"load": "L1", "lot": "1", "block": "b", "cultivar": "c", "where": Where.BENCH}
    return Cull(id=f"{defect}{count}", defect=defect, count=count, weight=None, **where)  # type: ignore[arg-type]


def test_that_defects_rank_and_add_up_as_in_the_worked_ranking() -> None:
    table = rows("pareto_vectors")
    halves = [cull(row["defect"], int(row["count"]) // 2) for row in reversed(table)]
    sums = culls_by_defect([*halves, *halves])
    assert [each.defect for each in sums] == [row["defect"] for row in table]
    shares = [each.share * 100 for each in shares_of_fruit(sums) if each]
    assert [float(each) for each in shares] == [float(row["share_pct"]) for row in table]
    so_far = [float(each) for each in accumulate(shares)]
    assert so_far == [float(row["cumulative_pct"]) for row in table]


def test_that_what_was_only_weighed_has_no_share_of_fruit() -> None:
    first, second = shares_of_fruit(culls_by_defect([cull("scar", 4), cull("rot", None)]))
    assert first is not None
    assert first.say() == Message("export.share", {"share": 100, "least": 51, "most": 100})
    assert second is None
