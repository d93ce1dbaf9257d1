"""Turn a bench into what its screen shows: words, signs and the crate's measures."""

from dataclasses import dataclass
from typing import Final

from shedstation.domain.bench_sequence import Step
from shedstation.domain.day import BoxSum
from shedstation.domain.farm import Setup, name_of
from shedstation.domain.fruit.contents import InBox
from shedstation.domain.limits import Verdict
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.reading import State
from shedstation.presenters.cups import (
    ShownCup,
    cup_keys,
    cup_of_last,
    numbers_mean_cups,
    shown_cups,
)
from shedstation.station.bench_view import BenchView, Link, NextKey
from shedstation.words import Words

_ROOM_ABOVE: Final = 1.08
"""The ruler ends this far beyond the target."""

_TICKS: Final = 5
_SIGNS: Final = {Verdict.UNDER: "+", Verdict.ON: "✓", Verdict.OVER: "−"}  # noqa: RUF001  # a minus sign
_OTHER_SIGNS: Final = {
    "trim.lands": "→", "trim.exchange": "→", "trim.keep": "→",
    "trim.ask_to": "?", "trim.ask_one": "?", "trim.ask_from": "?", "bench.count_fruit": "?",
}  # fmt: skip
"""Which fruit to move is neither more nor less; and a tick would say that a box is closed."""

_TONES: Final = {Verdict.UNDER: "add", Verdict.ON: "on", Verdict.OVER: "out"}
_PAGE_FOR: Final = {
    "bench.open_day_first": "day",
    "bench.choose_first": "loads",
    "bench.scale_check_going": "check",
}
_SENT_ONCE: Final = {
    "bench.print_box": "ui.step_print",
    "bench.press_print": "ui.step_print",
    "bench.settle_box": "ui.step_settle",
    "bench.let_it_settle": "ui.step_settle",
    "bench.fill_and_print": "ui.step_print",
    "bench.fill_and_settle": "ui.step_settle",
    "bench.type_again": "ui.step_type",
    "bench.lift_off_next": "ui.step_lift_off",
}
"""What asks for a reading of a scale that does not stream, and the step that goes with it."""

_TROUBLE: Final = frozenset({Step.LIFTED, Step.INTERRUPTED, Step.CHANGED})


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark on the ruler, at a share of its length."""

    at: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """The crate and its ruler; every measure is a share of the ruler's length."""

    filled: float
    lowest: float
    highest: float
    target: Tick
    ticks: tuple[Tick, ...]
    full: Mass
    """The net weight that the target is."""

    fruit: tuple[InBox, ...]
    """The fruit in the box, in the order they came; none if they are not told singly."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """What is packed, by whom, and how the scale does."""

    cultivar: str
    block: str
    load: str
    picked: str
    pack: str
    window: str
    grade: str
    person: str
    state: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchScreen:
    """All that the bench screen shows at one moment."""

    head: Head
    gauge: Gauge | None
    crate_title: str
    weight_title: str
    number: str
    unit: str
    parts: str
    sign: str
    tone: str
    """`add`, `on`, `out`, `wait` or `trouble`: colours follow it, never alone."""

    sentence: str
    detail: str
    detail_warns: bool
    step: str
    step_note: str
    step_ready: bool
    closed: str
    """The box that still stands on the pan, closed; shown large."""

    last: str
    totals: str
    cups: tuple[ShownCup, ...]
    cup_keys: str
    keys: str
    """The letter keys, and the numbers where they say who packs."""


def bench_screen(
    view: BenchView, setup: Setup, words: Words, today: BoxSum | None, culled: int
) -> BenchScreen:
    """Give the bench screen.

    Args:
        view: The bench.
        setup: The farm's setup, for names.
        words: The person's language.
        today: The day's boxes, if any.
        culled: Fruit culled today.
    """
    number, unit = _big_weight(view)
    sign, tone = _sign(view)
    step, note = _step(view, words)
    return BenchScreen(
        head=bench_head(view, setup, words),
        gauge=_gauge(view),
        crate_title=_crate_title(view, words),
        weight_title=words.text("ui.net_weight" if view.net is not None else "ui.scale_shows"),
        number=number,
        unit=unit,
        parts=_parts(view, words),
        sign=sign,
        tone=tone,
        sentence=_capital(words.say(view.say)),
        detail=_detail(view, words),
        detail_warns=view.armed is None and view.warning is not None,
        step=step,
        step_note=note,
        step_ready=view.next_key is not NextKey.NOTHING,
        closed=_last(view, words, "ui.closed_box") if view.step is Step.CLOSED else "",
        last="" if view.step is Step.CLOSED else _last(view, words, "ui.last_box"),
        totals=_totals(today, culled, words),
        cups=shown_cups(view, words),
        cup_keys=cup_keys(view, words),
        keys=_keys(view, words),
    )


def _keys(view: BenchView, words: Words) -> str:
    is_who = view.count_asked is None and not numbers_mean_cups(view)
    return words.text("ui.bench_keys" if is_who else "ui.bench_keys_letters")


def _capital(sentence: str) -> str:
    """Begin with a capital: a sentence may be put together of parts."""
    return sentence[:1].upper() + sentence[1:]


def bench_head(view: BenchView, setup: Setup, words: Words) -> Head:
    """Give the head that stands above every screen."""
    choice = view.choice
    person = words.text("ui.person_unsaid") if setup.people else ""
    if view.person is not None:
        person = name_of(setup.people, view.person)
    state = scale_state(view, words)
    if choice is None:
        nothing = words.text("ui.nothing_chosen")
        return Head(cultivar=nothing, block=words.text("ui.press_loads"), load="", picked="",
                    pack="", window="", grade="", person=person, state=state)  # fmt: skip
    window = ""
    if view.limits is not None:
        lowest, highest = view.limits.lowest, view.limits.highest
        window = words.text("ui.window", lowest=lowest, highest=highest)
    return Head(
        cultivar=name_of(setup.cultivars, choice.cultivar),
        block=name_of(setup.blocks, choice.block),
        load=words.text("ui.load_is", load=choice.load),
        picked=words.text("ui.lot_is", lot=choice.lot),
        pack=choice.pack,
        window=window,
        grade=words.text("ui.grade_is", grade=name_of(setup.grades, choice.grade)),
        person=person,
        state=state,
    )


def scale_state(view: BenchView, words: Words) -> str:
    """Say how the scale does; a reading that stands alone is shown with its age."""
    if view.age_s is None or view.reading is None:
        return words.text(_state_name(view))
    name = "ui.typed_age" if view.reading.typed else "ui.reading_age"
    return words.text(name, seconds=int(view.age_s))


def _state_name(view: BenchView) -> str:
    if view.link is not Link.LIVE or view.reading is None:
        return f"ui.link_{view.link.value}"
    return "ui.scale_steady" if view.reading.state is State.STEADY else "ui.scale_moving"


def _big_weight(view: BenchView) -> tuple[str, str]:
    mass = view.net
    if mass is None and view.reading is not None:
        mass = view.reading.mass
    if mass is None:
        return "–", ""  # noqa: RUF001  # a dash stands for no weight
    if mass.unit is Unit.LB_OZ:
        return str(mass), ""
    return mass.number(), mass.unit.value


def _sign(view: BenchView) -> tuple[str, str]:
    if view.say.name in _SENT_ONCE:
        return "→", "wait"
    if view.step in _TROUBLE or view.reading is None:
        return "!", "trouble"
    if view.verdict is None:
        return "→", "wait"
    if view.step is Step.CLOSED:
        return "✓", "on"
    return _OTHER_SIGNS.get(view.say.name, _SIGNS[view.verdict]), _TONES[view.verdict]


def _parts(view: BenchView, words: Words) -> str:
    if view.net is None or view.gross is None or view.tare is None or view.tare_by is None:
        return ""
    by = words.text(f"ui.tare_by_{view.tare_by.value}")
    return words.text("ui.gross_minus_box", gross=view.gross, tare=view.tare, by=by)


def _detail(view: BenchView, words: Words) -> str:
    """Say what a press waits for, where the last fruit went, or which would land in the window."""
    if view.armed is not None:
        return words.text("ui.armed")
    if view.warning is not None:
        return words.say(view.warning)
    return cup_of_last(view, words) or _between(view, words)


def _between(view: BenchView, words: Words) -> str:
    """Say between which weights the fruit lies that would land in the window."""
    if view.net is None or view.limits is None:
        return ""
    lowest, highest = view.limits.lowest, view.limits.highest
    if view.say.name == "bench.add":
        return words.text("ui.add_between", least=lowest - view.net, most=highest - view.net)
    if view.say.name == "bench.take_out":
        return words.text("ui.take_between", least=view.net - highest, most=view.net - lowest)
    return ""


def _step(view: BenchView, words: Words) -> tuple[str, str]:
    """Say what the one key does now, and with which key."""
    key = words.text("ui.step_key")
    if view.count_asked is not None:
        return words.text("ui.step_close_uncounted", serial=view.next_serial), key
    match view.next_key:
        case NextKey.TARE:
            return words.text("ui.step_tare"), key
        case NextKey.TARE_HELD:
            return words.text("ui.step_tare_held"), words.text("ui.step_key_held")
        case NextKey.CLOSE:
            return words.text("ui.step_close", serial=view.next_serial), key
        case NextKey.CONTINUE:
            return words.text("ui.step_continue"), words.text("ui.step_key_or_abandon")
        case NextKey.NOTHING:
            return _no_step(view, words)


def _no_step(view: BenchView, words: Words) -> tuple[str, str]:
    if view.say.name in _PAGE_FOR:
        page = _PAGE_FOR[view.say.name]
        return words.text(f"ui.step_page_{page}"), words.text(f"ui.step_key_{page}")
    if view.say.name in _SENT_ONCE:
        where = "ui.step_key_type" if view.say.name == "bench.type_again" else "ui.at_the_scale"
        return words.text(_SENT_ONCE[view.say.name]), words.text(where)
    if view.step is Step.FILLING:
        return words.text("ui.step_close", serial=view.next_serial), words.text("ui.when_on_weight")
    step, note = _WITHOUT_KEY.get(view.step, ("ui.step_at_scale", "ui.by_itself"))
    return words.text(step), words.text(note)


_WITHOUT_KEY: Final = {
    Step.CHANGED: ("ui.step_abandon", "ui.step_key_abandon"),
    Step.LIFTED: ("ui.step_put_back", "ui.step_or_abandon"),
    Step.CLOSED: ("ui.step_lift_off", "ui.by_itself"),
}


def _crate_title(view: BenchView, words: Words) -> str:
    if view.target is None:
        return ""
    closed = view.last_box if view.step is Step.CLOSED else None
    serial = view.next_serial if closed is None else closed.serial
    return words.text("ui.crate_title", serial=serial, target=view.target)


def _last(view: BenchView, words: Words, name: str) -> str:
    box = view.last_box
    return "" if box is None else words.text(name, serial=box.serial, net=box.net)


def _totals(today: BoxSum | None, culled: int, words: Words) -> str:
    boxes = words.text("ui.boxes_number", count=0 if today is None else today.boxes)
    net = "" if today is None else f", {today.net}"
    return f"{boxes}{net}, {words.text('ui.fruit_culled', count=culled)}"


def _gauge(view: BenchView) -> Gauge | None:
    if view.limits is None or view.target is None:
        return None
    whole = _float(view.target) * _ROOM_ABOVE
    net = 0.0 if view.net is None else _float(view.net)
    return Gauge(
        filled=min(max(net / whole, 0.0), 1.0),
        lowest=_float(view.limits.lowest) / whole,
        highest=_float(view.limits.highest) / whole,
        target=Tick(_float(view.target) / whole, str(view.target)),
        ticks=tuple(_ticks(view.target, whole)),
        full=view.target,
        fruit=view.fruit,
    )


def _ticks(target: Mass, whole: float) -> list[Tick]:
    """Give round marks from nothing to near the target."""
    unit_ng = target.unit.nanograms
    units = _float(target) / unit_ng
    step = max(round(units / _TICKS), 1)
    marks = range(0, int(units) + 1, step)
    return [Tick(mark * unit_ng / whole, str(mark)) for mark in marks]


def _float(mass: Mass) -> float:
    """Give nanograms for drawing only."""
    return float(mass.nanograms)
