"""What an audit came to is said in one sentence, in both languages, for every verdict."""

from dataclasses import replace
from datetime import date

import pytest

from shedstation.domain.audit import AuditRule, Fineness
from shedstation.domain.audit_findings import figures, verdict_said
from shedstation.domain.audit_result import AuditResult, Verdict
from shedstation.domain.farm import Setup
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.reweighing import BoxReweigh
from shedstation.presenters.audit import loss_said
from shedstation.words import Words

PASS, GREY, FAIL = Verdict.PASS, Verdict.GREY, Verdict.FAIL
RESULT = AuditResult(
    audit="seed",
    number=1,
    rule=AuditRule.HANDBOOK_133,
    pack="Flat 25 lb",
    packed_on=date(2026, 6, 18),
    lot=None,
    label=parse_mass("25 lb"),
    lot_size=61,
    sample=12,
    scale=Fineness(found=parse_mass("0.01 lb"), most="0.0617", unit=Unit.LB, is_enough=True),
    unit=Unit.LB,
    boxes=(),
    tolerance="0.37",
    over=0,
    allowed=0,
    over_twice=None,
    total_error="0.72",
    means=12,
    average_error="0.0600",
    spread="0.1000",
    factor="0.635",
    error_limit="0.0635",
    allowance="0",
    by_each=PASS,
    by_average=PASS,
    verdict=PASS,
)
QUANTITY = replace(
    RESULT,
    rule=AuditRule.R87,
    unit=Unit.G,
    tolerance="150",
    allowed=3,
    over_twice=0,
    allowance=None,
)


@pytest.mark.parametrize(
    ("result", "said"),
    [
        (RESULT,
         ("The lot passes: no box is short by more than 0.37 lb; "
         "the average lies 0.0600 lb over the label.")),
        (replace(RESULT, average_error="-0.0600", over=1, allowed=1),
         ("The lot passes: 1 box is short by more than 0.37 lb, and 1 may be; "
         "the average lies 0.0600 lb under the label, which chance explains (up to 0.0635 lb).")),
        (replace(RESULT, over=2, by_each=FAIL, verdict=FAIL),
         "The lot fails: 2 boxes are short by more than 0.37 lb, and only 0 may be."),
        (replace(RESULT, average_error="-0.0700", by_average=FAIL, verdict=FAIL),
         ("The lot fails: the average lies 0.0700 lb under the label, "
         "and chance explains 0.0635 lb at the most.")),
        (replace(RESULT, average_error="-0.7000", by_average=FAIL, verdict=FAIL, allowance="0.25"),
         ("The lot fails: the average lies 0.7000 lb under the label, "
         "and chance explains 0.0635 lb and moisture 0.25 lb at the most.")),
        (replace(RESULT, average_error="-0.1000", by_average=GREY, verdict=GREY, allowance="0.25"),
         ("No decision: the average lies 0.1000 lb under the label: more than chance explains "
         "(0.0635 lb), but moisture may have taken 0.25 lb.")),
        (replace(RESULT, over=1, by_each=GREY, verdict=GREY, allowance="0.25"),
         ("No decision: 1 box is short by more than 0.37 lb where 0 may be, "
         "but by no more than moisture may have taken.")),
        (replace(QUANTITY, over=4, over_twice=1, by_each=FAIL, verdict=FAIL),
         ("The lot fails: 4 boxes are short by more than 150 g, and only 3 may be; "
         "1 box is short by more than twice 150 g, and none may be.")),
        (replace(QUANTITY, average_error="-5.0", error_limit=None, by_average=FAIL, verdict=FAIL),
         "The lot fails: the average of the whole lot lies 5.0 g under the label."),
        (replace(RESULT, by_average=Verdict.UNFINISHED, verdict=Verdict.UNFINISHED, why="rain"),
         "Given up after 0 of 12 boxes: rain. No judgement."),
        (replace(RESULT, over=1, by_each=FAIL, by_average=Verdict.UNFINISHED, verdict=FAIL, why="rain",
                 average_error=None),
         ("The lot fails: 1 box is short by more than 0.37 lb, and only 0 may be; "
         "given up after 0 of 12 boxes.")),
    ],
)  # fmt: skip
def test_that_every_verdict_is_one_sentence(result: AuditResult, said: str) -> None:
    assert Words("en").say(verdict_said(result)) == said
    other = Words("es").say(verdict_said(result))
    assert "audit." not in other
    assert other != said


def test_that_the_limit_of_the_average_is_the_lowest_that_stands() -> None:
    def limit(result: AuditResult) -> str | None:
        (found,) = [each.limit for each in figures(result) if each.what.name.endswith("_average")]
        return found

    assert limit(RESULT) == "-0.0635"
    assert limit(replace(RESULT, error_limit="0.0000")) == "0.0000"
    assert limit(replace(QUANTITY, error_limit=None)) == "0"


def reweigh(number: int, cultivar: str) -> BoxReweigh:
    return BoxReweigh(
        serial=f"B1-{number:06d}",
        cultivar=cultivar,
        packed_on=date(2026, 6, 18),
        packed_at="2026-06-18T10:00:00.000Z",
        at="2026-06-22T10:00:00.000Z",
        gross=Mass(2644, 2, Unit.LB),
        tare=Mass(164, 2, Unit.LB),
        net_then=Mass(2500, 2, Unit.LB),
        net=Mass(2480, 2, Unit.LB),
    )


def test_that_the_loss_is_said_by_cultivar_where_it_is_known(sample_setup: Setup) -> None:
    words = Words("en")
    few = loss_said([reweigh(number, "KENT") for number in range(7)], sample_setup, words)
    assert few.startswith("What fruit lose here is known from 8 boxes on")
    assert "so far 7" in few
    # source: domain/moisture, fitted model: 13 C and 90 % give 0.15 % a day, 25 C and 80 % give 0.63 %
    assert "0.15 % a day at 13 °C and 90 % humidity, 0.63 % at 25 °C and 80 %" in few
    boxes = [reweigh(number, "KENT") for number in range(8)]
    both = loss_said([*boxes, reweigh(8, "KEITT")], sample_setup, words)
    # by hand: 1 - 0.992^(1/4) is 0.20 % a day
    assert "Kent: 0.20 % lost a day (± 0.00; 8 boxes)." in both
    assert "All cultivars together: 0.20 % lost a day (± 0.00; 9 boxes)." in both
