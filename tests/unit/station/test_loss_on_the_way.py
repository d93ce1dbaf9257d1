"""From boxes packed and weighed again at the bench to the aim that covers what their fruit lost."""

from dataclasses import replace
from datetime import date

import pytest
from driving import DAY, Driver
from reweighing_hands import pack, weigh

from shedstation.domain.farm import Setup
from shedstation.domain.fill_advice import FillAdvice, Way, advise_fill, aimed
from shedstation.domain.giveaway import charted_fills
from shedstation.station.actions import Choose, CloseDay, OpenDay

WEEK_LATER = date(2026, 6, 25)
NETS = ("25.00", "25.05", "25.10", "25.15", "25.20", "25.00", "25.05", "25.10", "25.15", "25.20")


def advice_of(bench: Driver, setup: Setup) -> FillAdvice:
    flat = setup.packs[0]
    charted = charted_fills(bench.ledger.fills_between(DAY, WEEK_LATER), flat)
    assert charted is not None
    found = advise_fill(
        flat,
        setup.benches[0],
        setup,
        way=Way(days=7, temperature="60 F", humidity="85 %"),
        charts=charted.charts,
        reweighs=bench.ledger.reweighs(),
        cultivar="KENT",
    )
    assert isinstance(found, FillAdvice)
    return found


def test_that_eight_boxes_weighed_again_replace_the_model(
    bench: Driver, sample_setup: Setup
) -> None:
    pack(bench, *NETS)
    bench.ask(CloseDay)
    bench.ask(OpenDay, date=WEEK_LATER)
    for number, net in enumerate(NETS[:8], start=1):
        by_model = advice_of(bench, sample_setup)
        assert by_model.loss is not None
        assert (by_model.loss.loss.reweighs, by_model.reweighed) == (0, number - 1)
        # Each lost 3 % in seven days, to the scale's division.
        now = f"{float(net) * 0.97:.2f}"
        assert weigh(bench, f"B1-{number:06d}", now) is None
    own = advice_of(bench, sample_setup)
    assert own.loss is not None
    assert (own.loss.cultivar, own.loss.loss.reweighs) == ("KENT", 8)
    assert own.wish.loss == pytest.approx(0.03, abs=0.0003)
    assert own.aim.target > by_model.aim.target


def test_that_the_bench_packs_on_to_the_new_target(bench: Driver, sample_setup: Setup) -> None:
    pack(bench, *NETS)
    advice = advice_of(bench, sample_setup)
    new = aimed(sample_setup.packs[0], advice)
    setup = replace(sample_setup, packs=(new, *sample_setup.packs[1:]))
    bench.station.set_up(setup, at_s=bench.now)
    bench.ask(Choose, load="L1", pack="Flat 25 lb", grade="1")
    pack(bench, advice.floor.number(), advice.aim.target.number())
    assert [box.net for box in bench.boxes[-2:]] == [advice.floor, advice.aim.target]
    assert str(bench.boxes[-1].net_on_label) == "25 lb"
