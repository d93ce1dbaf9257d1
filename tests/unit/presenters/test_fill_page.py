"""What the page about filling says: the sum, its reasons, what is typed, bars and charts."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from shedstation.domain.control_charts import fill_charts
from shedstation.domain.cull_charts import culled_a_box, culled_share
from shedstation.domain.farm import Setup
from shedstation.domain.fill_advice import Figures, Lacking, Way, advise_fill, figures_of
from shedstation.domain.fills import CullDay, Fill
from shedstation.domain.giveaway import charted_fills, giveaway_sums
from shedstation.domain.mass import parse_mass
from shedstation.domain.price import parse_price
from shedstation.domain.reweighing import BoxReweigh
from shedstation.presenters.control_picture import cull_pictures, fill_pictures
from shedstation.presenters.fill_aim import AimShown, aim_shown, drafted, typed_figures
from shedstation.presenters.giveaway import giveaway_picture
from shedstation.presenters.setup_draft import BadDraft, draft_of, setup_of
from shedstation.words import LANGUAGES, Words

MONDAY = date(2026, 6, 15)
WEEK = Way(days=7, temperature="55.4 F", humidity="90 %")
EMPTY = {
    "days_to_buyer": "", "room_temperature": "", "humidity": "", "share_below": "", "price": "",
}  # fmt: skip


def reweighed(cultivar: str = "KENT") -> list[BoxReweigh]:
    then, tare = parse_mass("25.00 lb"), parse_mass("1.64 lb")
    nets = [parse_mass(f"24.{50 + number % 3} lb") for number in range(9)]
    return [
        BoxReweigh(
            serial=f"B1-{number:06d}",
            cultivar=cultivar,
            packed_on=MONDAY,
            packed_at="2026-06-15T15:00:00.000Z",
            at="2026-06-22T15:00:00.000Z",
            gross=net + tare,
            tare=tare,
            net_then=then,
            net=net,
        )
        for number, net in enumerate(nets)
    ]


def shown(
    setup: Setup,
    way: Way,
    words: Words,
    *,
    reweighs: list[BoxReweigh] | None = None,
    pack: int = 0,
    boxes: bool = True,
) -> AimShown:
    wide = parse_mass("0.10 lb").nanograms * 2326 / 1000
    charts = fill_charts([[wide * 0, wide / 2, wide / 2, wide / 2, wide]])
    figures = Figures(way=way, share_below=None, price=None)
    packed, bench = setup.packs[pack], setup.benches[0]
    advice = advise_fill(
        packed,
        bench,
        setup,
        way=way,
        charts=charts if boxes else None,
        reweighs=reweighs or [],
        cultivar="KENT",
    )
    return aim_shown(advice, packed, bench, figures, cultivars=setup.cultivars, words=words)


def test_that_the_sum_is_shown_reason_by_reason(sample_setup: Setup, words: Words) -> None:
    # source: the loss of moisture_loss_vectors.csv: 13 C, 90 %, 7 days: 1.0369 %, so 0.262 lb;
    # z(2 %) 2.05375 x 0.10 lb = 0.205 lb; HB 44: 3 divisions at 27 lb
    found = shown(sample_setup, WEEK, words)
    assert found.table.rows == (
        ("Net weight on the label", "25.00 lb"),
        ("Fruit lose 1.04 % in 7 days", "+0.26 lb"),
        ("Boxes spread by 0.100 lb, 2 % may be light", "+0.21 lb"),
        ("The scale may show too much", "+0.03 lb"),
        ("Up to a whole 0.01 lb", "+0.00 lb"),
        ("Aim at", "25.50 lb"),
    )
    assert found.title == "Aim at 25.50 lb"
    assert found.said.startswith("The spread rests on less than 20 fives of boxes")
    assert "by the model" in found.said
    assert "(0 so far)" in found.said
    assert found.said.endswith(
        "closes boxes from 25.30 lb, which covers loss and scale, to 25.80 lb."
    )


def test_that_the_source_of_the_loss_is_named_with_its_interval(
    sample_setup: Setup, words: Words
) -> None:
    own = shown(sample_setup, WEEK, words, reweighs=reweighed()).said
    assert "9 boxes of Kent weighed again" in own
    assert "95 %" in own
    every = shown(sample_setup, WEEK, words, reweighs=reweighed("KEITT")).said
    assert "own 9 boxes weighed again" in every
    none = shown(sample_setup, replace(WEEK, days=None), words)
    assert "no loss on the way is added" in none.said
    assert len(none.table.rows) == 5


def test_that_what_is_lacking_is_said_and_no_sum_shown(sample_setup: Setup, words: Words) -> None:
    dry = replace(WEEK, humidity=None)
    for found, wanted in (
        (shown(sample_setup, WEEK, words, boxes=False), "close 5 boxes of Flat 25 lb"),
        (shown(sample_setup, dry, words), "temperature and humidity"),
        (shown(sample_setup, WEEK, words, pack=1), "sold by what each box weighs"),
    ):
        assert wanted in found.said
        assert (found.advice, found.table.rows) == (None, ())


def test_that_every_lack_is_said_in_every_language(sample_setup: Setup) -> None:
    flat, bench = sample_setup.packs[0], sample_setup.benches[0]
    figures = figures_of(sample_setup, flat)
    for language in LANGUAGES:
        words = Words(language)
        said = {
            aim_shown(each, flat, bench, figures, cultivars=(), words=words).said
            for each in Lacking
        }
        assert len(said) == len(Lacking)


def test_that_figures_are_read_as_people_type_them() -> None:
    typed = {
        "days_to_buyer": " 7 ", "room_temperature": "15,6c", "humidity": "85",
        "share_below": "2,5%", "price": "1,20 usd / LB",
    }  # fmt: skip
    figures = typed_figures(typed)
    assert figures.way == Way(days=7, temperature="15.6 C", humidity="85 %")
    assert (figures.share_below, str(figures.price)) == ("2.5 %", "1.20 USD/lb")
    assert typed_figures(drafted(figures)) == figures
    nothing = Figures(
        way=Way(days=None, temperature=None, humidity=None), share_below=None, price=None
    )
    assert typed_figures(EMPTY) == nothing


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("days_to_buyer", "61"), ("days_to_buyer", "-1"), ("days_to_buyer", "a week"),
        ("room_temperature", "60"), ("room_temperature", "20 F"), ("room_temperature", "C"),
        ("humidity", "101 %"), ("humidity", "damp"), ("share_below", "0"), ("share_below", "51 %"),
        ("price", "1.20"), ("price", "USD"), ("price", "0 USD/lb"), ("price", "1.20 USD/box"),
    ],
)  # fmt: skip
def test_that_what_cannot_be_read_is_said_with_what_was_expected(name: str, text: str) -> None:
    with pytest.raises(BadDraft) as raised:
        typed_figures({**EMPTY, name: text})
    for language in LANGUAGES:
        said = Words(language).say(raised.value.message)
        assert text in said
        assert Words(language).text(f"ui.{name}") in said


def fills(*nets: str, by: str | None = "ana") -> list[Fill]:
    return [
        Fill(
            pack="Flat 25 lb",
            packed_on=MONDAY,
            bench="B1",
            by=by,
            net=parse_mass(net),
            net_on_label=parse_mass("25 lb"),
        )
        for net in nets
    ]


def test_that_bars_carry_their_figures(sample_setup: Setup, words: Words) -> None:
    packs = (replace(sample_setup.packs[0], price=parse_price("1.20 USD/lb")),)
    boxes = [*fills("25.10 lb", "25.15 lb"), *fills("25.30 lb", by=None)]
    sums = giveaway_sums(boxes, packs, MONDAY, by_packer=True)
    picture = giveaway_picture(sums, sample_setup, MONDAY, words)
    week = "0.183 lb a box; 0.55 lb, 0.66 USD in 3 boxes"
    assert [(name, said) for name, _, said in picture.bars] == [
        ("Mon 15 June 2026", week),
        ("This week", week),
        ("Ana", "0.125 lb a box; 0.25 lb, 0.30 USD in 2 boxes"),
        ("nobody named", "0.300 lb a box; 0.30 lb, 0.36 USD in 1 box"),
    ]
    assert "for packers that of the week" in picture.said


def test_that_money_that_is_not_there_is_said(sample_setup: Setup, words: Words) -> None:
    sums = giveaway_sums(fills("25.10 lb"), sample_setup.packs, MONDAY, by_packer=False)
    assert (
        "Type a price and keep the figures"
        in giveaway_picture(sums, sample_setup, MONDAY, words).said
    )
    priced = (
        replace(sample_setup.packs[0], name="Flat B", price=parse_price("1 USD/lb")),
        sample_setup.packs[0],
    )
    both = [*fills("25.10 lb"), replace(fills("25.10 lb")[0], pack="Flat B")]
    sums = giveaway_sums(both, priced, MONDAY, by_packer=False)
    assert "1 box has no price" in giveaway_picture(sums, sample_setup, MONDAY, words).said
    none = giveaway_sums([], sample_setup.packs, MONDAY, by_packer=True)
    picture = giveaway_picture(none, sample_setup, MONDAY, words)
    assert picture.bars == ()
    assert picture.said.startswith("No boxes with a declared weight from Mon 15 June 2026")


def test_that_charts_of_fills_say_their_limits(sample_setup: Setup, words: Words) -> None:
    five = ("25.00 lb", "25.05 lb", "25.10 lb", "25.15 lb", "25.20 lb")
    high = ("25.30 lb",) * 5
    charted = charted_fills(fills(*five, *five, *high), sample_setup.packs[0])
    division = sample_setup.benches[0].division
    means, ranges = fill_pictures(charted, "Flat 25 lb", division, words)
    # Mean 0.1667 lb, mean range 0.1333 lb: +-0.577 x 0.1333 = 0.0769 lb; 2.114 x 0.1333 = 0.282 lb.
    assert means.said.startswith(
        "Flat 25 lb, means of five boxes above the target: centre 0.167 lb, limits 0.090 lb to "
        "0.244 lb; 1 of 3 beyond. Under 20 points"
    )
    assert "upper limit 0.282 lb; 0 of 3 beyond. Spread of single boxes 0.057 lb." in ranges.said
    assert [point.is_out for point in means.points] == [False, False, True]
    assert means.points[2].value == pytest.approx(0.3)
    assert (means.unit, means.ticks) == ("lb", ((0, "06-15"),))
    lacking, nothing = fill_pictures(None, "Flat 25 lb", division, words)
    assert lacking.said.startswith("No chart yet: it needs 5 boxes of Flat 25 lb")
    assert (lacking.points, nothing.points, nothing.said) == ((), (), "")


def test_that_charts_of_culls_say_which_days_they_leave_out(words: Words) -> None:
    days = [
        CullDay(
            day=MONDAY + timedelta(days=day),
            culled=culled,
            uncounted_entries=uncounted,
            boxes=10,
            fruit=190,
            uncounted_boxes=0,
        )
        for day, culled, uncounted in ((0, 10, 0), (1, 10, 0), (2, 0, 2))
    ]
    shares, rates = cull_pictures(culled_share(days), culled_a_box(days), words)
    assert shares.said.startswith(
        "Share of fruit culled (p): 5.00 % on the average; 0 of 2 days beyond chance. "
        "1 day is left out"
    )
    assert [point.value for point in shares.points] == [pytest.approx(5.0)] * 2
    assert rates.said.startswith("Culled fruit for each box packed (u): 1.00 on the average")
    assert rates.unit == "fruit a box"
    shares, rates = cull_pictures(None, None, words)
    assert "needs days on which the fruit of every box" in shares.said
    assert "needs days with boxes" in rates.said


def test_that_the_setup_page_keeps_what_it_does_not_show(sample_setup: Setup) -> None:
    flat = replace(sample_setup.packs[0], price=parse_price("1.20 USD/lb"), share_below="1 %")
    setup = replace(
        sample_setup,
        packs=(flat, *sample_setup.packs[1:]),
        days_to_buyer=7,
        room_temperature="60 F",
        humidity="85 %",
        giveaway_by_packer=True,
    )
    assert setup_of(draft_of(setup), setup, None) == setup
