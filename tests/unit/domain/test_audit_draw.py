"""Samples are drawn so that no box is likelier than another, and anybody can draw them again."""

from collections import Counter
from datetime import date, timedelta
from fractions import Fraction
from hashlib import sha256

import pytest

from shedstation.domain.audit import AuditRule, drawn, picked
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reweighing import BoxReweigh, days_between, farm_loss, is_odd

LOT = tuple(f"B1-{number:06d}" for number in range(1, 41))
SEEDS = [f"seed {number}" for number in range(4000)]
CHI_SQUARE_39_AT_1_PERCENT = 62.428
"""Upper 1 % point of chi-square with 39 degrees of freedom: NIST e-Handbook 1.3.6.7.4 (memory, high);
Wilson and Hilferty's formula gives 62.45."""


def test_that_every_box_is_picked_as_often_as_the_others() -> None:
    counts = Counter(
        serial for seed in SEEDS for serial in picked(seed, AuditRule.HANDBOOK_133, LOT)
    )
    expected = len(SEEDS) * 12 / len(LOT)
    # Boxes of one sample exclude each other, so the sum is scaled by (N-1)/(N-n): n of N without return.
    chi = sum((counts[serial] - expected) ** 2 / expected for serial in LOT) * 39 / (40 - 12)
    assert chi < CHI_SQUARE_39_AT_1_PERCENT


def test_that_the_first_place_and_the_last_are_anybodys() -> None:
    for place in (0, 39):
        counts = Counter(drawn(seed, LOT)[place] for seed in SEEDS)
        expected = len(SEEDS) / len(LOT)
        chi = sum((counts[serial] - expected) ** 2 / expected for serial in LOT)
        assert chi < CHI_SQUARE_39_AT_1_PERCENT


def test_that_a_draw_is_checked_with_any_sha_256() -> None:
    order = sorted(LOT, key=lambda serial: sha256(f"abc {serial}".encode()).hexdigest())
    assert list(drawn("abc", LOT)) == order
    assert drawn("abc", tuple(reversed(LOT))) == tuple(order)
    assert picked("abc", AuditRule.EU, LOT) == tuple(order)


def reweigh(number: int, share: str, days: float, cultivar: str = "KENT") -> BoxReweigh:
    packed = date(2026, 6, 18)
    at = f"{packed + timedelta(days=int(days))}T{10 + round(days % 1 * 12):02d}:00:00.000Z"
    return BoxReweigh(
        serial=f"B1-{number:06d}",
        cultivar=cultivar,
        packed_on=packed,
        packed_at="2026-06-18T10:00:00.000Z",
        at=at,
        gross=Mass(round((1 - Fraction(share)) * 2500), 2, Unit.LB) + Mass(164, 2, Unit.LB),
        tare=Mass(164, 2, Unit.LB),
        net_then=Mass(2500, 2, Unit.LB),
        net=Mass(round((1 - Fraction(share)) * 2500), 2, Unit.LB),
    )


def test_that_days_are_counted_to_a_thousandth() -> None:
    assert days_between("2026-06-18T10:00:00.000Z", "2026-06-20T22:00:00.000Z") == Fraction(5, 2)
    assert days_between("2026-06-18T10:00:00.000Z", "2026-06-18T10:00:00.000Z") == 0


@pytest.mark.parametrize(
    ("now", "days", "odd"),
    [
        (2500, 0, False), (2450, 0, False), (2449, 0, True), (2525, 0, False), (2526, 0, True),
        (2250, 4, False), (2249, 4, True),
    ],
)  # fmt: skip
def test_that_more_than_drying_explains_is_odd_from_the_limit_on(
    now: int, days: int, odd: bool
) -> None:
    # our rule: 2 % and 2 % a day; the fastest published loss is 1.6 % a day (cultivar Agan, 22 C)
    then = Mass(2500, 2, Unit.LB)
    assert is_odd(then, Mass(now, 2, Unit.LB), Fraction(days)) is odd


def test_that_the_loss_is_known_from_eight_boxes_on() -> None:
    boxes = [reweigh(number, "0.008", 4) for number in range(8)]
    assert farm_loss(boxes[:7], "KENT") is None
    found = farm_loss(boxes, "KENT")
    assert found is not None
    # by hand: 1 - 0.992^(1/4)
    assert (found.cultivar, found.loss.reweighs) == ("KENT", 8)
    assert found.loss.share == pytest.approx(0.0020060, abs=1e-6)


def test_that_a_cultivar_with_too_few_boxes_takes_the_loss_of_all() -> None:
    boxes = [reweigh(number, "0.008", 4) for number in range(6)]
    boxes += [reweigh(number, "0.016", 4, "KEITT") for number in range(6, 14)]
    kent, keitt = farm_loss(boxes, "KENT"), farm_loss(boxes, "KEITT")
    assert kent is not None
    assert keitt is not None
    assert (kent.cultivar, kent.loss.reweighs) == (None, 14)
    assert (keitt.cultivar, keitt.loss.reweighs) == ("KEITT", 8)
    assert kent.loss.share < keitt.loss.share


def test_that_only_what_teaches_is_learned_from_and_each_box_once() -> None:
    boxes = [reweigh(number, "0.008", 4) for number in range(7)]
    fresh = reweigh(7, "0.008", 0.5)
    odd = reweigh(8, "0.20", 4)
    again = reweigh(0, "0.012", 6)
    assert farm_loss([*boxes, fresh, odd, again], "KENT") is None
    found = farm_loss([*boxes, reweigh(9, "0.008", 1)], "KENT")
    assert found is not None
    assert found.loss.reweighs == 8
