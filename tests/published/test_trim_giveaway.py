"""What boxes give away, packed blindly and with the trim tray, against published weights and a theory.

Sources: mean weights of single fruit as published, spreads as published or, where only a mean is, that of
mangoes not sorted by size (15 to 25 %, from memory); rows "SIM" are invented (first lines and `basis` of
mango_fruit_weight.csv say which). The overshoot of blind filling: renewal theory, mean residual life, as
in fill_overshoot_vectors.csv, whose simulated column is not ours.
"""

from statistics import fmean, stdev

import pytest
from trim_simulation import Cultivar, Job, Packer, cultivars, lb, unaided
from vector_files import rows

from shedstation.domain.mass import Unit

POUND_G = float(lb(100).measured_in(Unit.G))


@pytest.mark.parametrize(
    "row",
    rows("fill_overshoot_vectors"),
    ids=lambda row: f"{row['fruit_mean_lb']}-{row['fruit_cv']}",
)
def test_that_blind_filling_overshoots_by_half_a_fruit_and_a_little(row: dict[str, str]) -> None:
    mean, share = float(row["fruit_mean_lb"]), float(row["fruit_cv"])
    theory = mean / 2 * (1 + share * share)
    assert theory == pytest.approx(float(row["overshoot_theory_lb"]), abs=0.0001)
    fruit = Cultivar(name="", mean_g=mean * POUND_G, sd_g=mean * share * POUND_G)
    # The last row's label is 10 lb, says its note; a heap of twelve is as good as any order of fruit.
    floor = lb(1000 if row["fruit_mean_lb"] == "0.5" else 2500)
    overs = [box.over / 100 for box in unaided(fruit, 1500, 8, by_eye=False, job=Job(floor=floor))]
    # Half a division more: the scale rounds. Within 3.5 standard errors.
    assert fmean(overs) == pytest.approx(theory, abs=3.5 * stdev(overs) / len(overs) ** 0.5 + 0.005)


@pytest.mark.parametrize(
    ("name", "boxes"),
    [
        ("SIM Ataulfo run of orchard", 60),
        ("SIM Tommy Atkins run of orchard", 80),
        ("SIM Kent run of orchard", 110),
        ("SIM Keitt run of orchard", 110),
    ],
)
def test_that_six_cups_land_boxes_within_three_hundredths_of_a_pound(name: str, boxes: int) -> None:
    fruit = cultivars()[name]
    packed = Packer(fruit, 6, seed=4).pack(boxes)
    overs = [box.over / 100 for box in packed]
    # Few boxes, so that it is quick: the benchmark takes more, of several seeds.
    assert fmean(overs) <= 0.03 + stdev(overs) / boxes**0.5
    moves = [box.moves for box in packed]
    assert fmean(moves) <= 3.0 + stdev(moves) / boxes**0.5
    assert min(overs) >= 0
    careful = fmean(box.over / 100 for box in unaided(fruit, boxes, seed=4, by_eye=True))
    assert careful >= 4 * fmean(overs)


def test_that_a_narrow_window_is_landed_in_too() -> None:
    fruit = cultivars()["SIM Kent run of orchard"]
    packed = Packer(fruit, 6, seed=1, job=Job(width=lb(20))).pack(40)
    assert all(0 <= box.over <= 20 for box in packed)
