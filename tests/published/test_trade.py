"""What the trade itself holds to: common practice, no published source, unless said otherwise."""

from shedstation.domain.farm import NetOnLabel
from shedstation.domain.limits import limits
from shedstation.domain.mass import parse_mass
from shedstation.presenters.setup_draft import DEFAULTS, setup_of
from shedstation.words import Words

NEW_FARM = {**DEFAULTS, "farm_name": "Example", "address": "1 Example Road", "origin": "Example"}


def test_that_a_new_farm_packs_25_lb_net() -> None:
    # common practice, no published source: a box is 25 lb net, one layer
    setup = setup_of(NEW_FARM, None, None)
    pack = setup.packs[0]
    assert str(pack.label_net) == "25.00 lb"
    assert pack.net_on_label is NetOnLabel.DECLARED


def test_that_a_new_farms_box_is_never_under_its_label() -> None:
    # source of the rule: 15 USC 1453 and state model rules, a declared weight is a least weight
    setup = setup_of(NEW_FARM, None, None)
    pack = setup.packs[0]
    assert limits(pack, setup.benches[0].division).lowest >= pack.label_net


def test_that_the_trap_of_24_8_and_24_lb_8_oz_is_seen() -> None:
    # common practice, no published source: 24.8 on a pounds display is not 24 lb 8 oz
    assert parse_mass("24.8 lb") > parse_mass("24 lb 8 oz")


def test_that_the_cautions_stand_where_the_hand_is() -> None:
    # sap: UC and Queensland extension sheets on urushiol in mango peel; legal scale: NIST HB 44
    words = Words("en")
    assert "gloves" in words.text("ui.sap_caution")
    assert "weights-and-measures official" in words.text("ui.legal_scale")
    assert "one or two layers" in words.text("ui.load_note")
