"""Say what a bench is doing and what the person should do next."""

from collections.abc import Callable, Mapping
from typing import Final

from shedstation.domain.bench_sequence import Step
from shedstation.domain.farm import Sends
from shedstation.domain.fruit.contents import InBox
from shedstation.domain.fruit.told import fruit_told
from shedstation.domain.limits import Verdict
from shedstation.domain.line_state import NEEDS_A_LOOK
from shedstation.domain.mass import Mass
from shedstation.domain.message import Message
from shedstation.domain.reading import Mode, Reading, State
from shedstation.domain.zero_watch import ZeroTrouble
from shedstation.station.actions import DO_NAME
from shedstation.station.bench import Bench
from shedstation.station.bench_view import BenchView, CountQuestion, Link, NextKey
from shedstation.station.shed import Shed
from shedstation.station.trim_saying import trim_say, trim_view

_BEYOND: Final = {
    State.OVER: "bench.overload",
    State.UNDER: "bench.under_range",
    State.FAULT: "bench.scale_fault",
}
_ZERO: Final = {
    ZeroTrouble.OFF: "bench.zero_first",
    ZeroTrouble.LEFT_ON: "bench.zero_left_on",
    ZeroTrouble.DRYING: "bench.zero_drying",
    ZeroTrouble.DRIFTING: "bench.zero_drifting",
}
_SEND_BOX: Final = {
    Sends.ON_KEY: "bench.print_box",
    Sends.WHEN_STEADY: "bench.settle_box",
}
"""How to get the weight of an empty box out of it."""

_FILL_AND_SEND: Final = {
    Sends.ON_KEY: "bench.fill_and_print",
    Sends.WHEN_STEADY: "bench.fill_and_settle",
}
"""What to do once the last reading has had its step."""

_SEND_ONE: Final = {
    Sends.STREAM: "bench.scale_silent",
    Sends.ON_KEY: "bench.press_print",
    Sends.WHEN_STEADY: "bench.let_it_settle",
}
"""How to get a reading out of a scale that is connected and has sent none lately."""

_NO_SCALE: Final = {
    Link.UNHEARD: "bench.scale_unheard",
    Link.SILENT: "bench.scale_silent",
    Link.LOST: "bench.scale_lost",
}


def view_of(bench: Bench, shed: Shed) -> BenchView:
    """Show a bench at this moment."""
    net = bench.net
    reading = bench.reading
    limits = bench.limits
    return BenchView(
        bench=bench.setup.name,
        step=bench.step,
        link=bench.link,
        next_key=NextKey.NOTHING if _is_checked(bench, shed) else _next_key(bench, net),
        say=_say(bench, shed, net),
        choice=bench.choice,
        person=bench.person,
        reading=reading,
        net=net,
        fruit=_fruit(bench, shed),
        trim=trim_view(bench, shed.trimming.get(bench.setup.name)),
        count_asked=_count_asked(bench, shed, net),
        gross=None if reading is None else bench.pan.load(reading),
        tare=bench.pan.tare,
        tare_by=bench.pan.tare_by,
        limits=limits,
        target=_target(bench),
        verdict=None if net is None or limits is None else limits.verdict(net),
        next_serial=shed.next_serial(bench.setup.name),
        last_box=bench.last_box,
        armed=None if bench.armed is None else DO_NAME[type(bench.armed.action)],
        scale_failed=bench.failed_check,
        warning=_warning(bench),
        age_s=_age_s(bench),
        readings=bench.readings,
        bad_frames=bench.bad_frames,
    )


def _fruit(bench: Bench, shed: Shed) -> tuple[InBox, ...]:
    """Give the fruit that were told, as long as the weight they add up to is there to be seen."""
    watch = shed.fruit.get(bench.setup.name)
    return () if watch is None or bench.net is None else watch.contents


def _count_asked(bench: Bench, shed: Shed, net: Mass | None) -> CountQuestion | None:
    watch = shed.fruit.get(bench.setup.name)
    steps = None if watch is None or watch.asked is None or net is None else watch.close(net)
    if watch is None or watch.asked is None or steps is None:
        return None
    told = fruit_told(steps, shed.clock.utc, None)
    unsure = tuple(each.weight for each in told.unsure)
    return CountQuestion(close=watch.asked, likely=told.likely, unsure=unsure)


def _age_s(bench: Bench) -> float | None:
    """Give how old a reading is that stands alone; one of a stream is never shown when old."""
    reading = bench.reading
    if reading is None or not bench.freshness.is_single(reading):
        return None
    return max(bench.now_s - reading.at_s, 0.0)


def _needs_reading(bench: Bench) -> bool:
    """Tell whether a single reading has had its step, so that the next one must be sent first."""
    return bench.reading is not None and bench.freshness.is_used_up(bench.reading)


def _is_checked(bench: Bench, shed: Shed) -> bool:
    return bench.setup.name in shed.checks or bench.setup.name in shed.audits


def _warning(bench: Bench) -> Message | None:
    if bench.step not in (Step.EMPTY, Step.BOX_ON):
        return None
    if bench.step is Step.BOX_ON and bench.zero.trouble is not None:
        return Message("bench.tare_off_zero", {"shown": bench.zero.shown})
    return Message("bench.scale_failed") if bench.failed_check else None


def _is_steady(reading: Reading | None) -> bool:
    return reading is not None and reading.state is State.STEADY


def _target(bench: Bench) -> Mass | None:
    """Give the pack's target in the unit and decimals the bench's scale shows."""
    if bench.pack is None:
        return None
    target, setup = bench.pack.target, bench.setup
    if target.unit is setup.unit:
        return target
    return target.in_unit(setup.unit, setup.division.decimals)


def _next_key(bench: Bench, net: Mass | None) -> NextKey:
    if bench.choice is None or bench.has_wrong_unit or _needs_reading(bench):
        return NextKey.NOTHING
    if bench.step is Step.CHANGED:
        sure = bench.reading is not None and bench.pan.knows_hidden(bench.reading)
        return NextKey.CONTINUE if sure else NextKey.NOTHING
    if bench.step is Step.BOX_ON and bench.reading is not None:
        load = bench.pan.load(bench.reading)
        if load is None:
            return NextKey.NOTHING
        return NextKey.TARE if bench.tares.holds(load) else NextKey.TARE_HELD
    if bench.step is Step.FILLING and net is not None and bench.limits is not None:
        on_weight = bench.limits.verdict(net) is Verdict.ON
        return NextKey.CLOSE if on_weight else NextKey.NOTHING
    return NextKey.NOTHING


def _say(bench: Bench, shed: Shed, net: Mass | None) -> Message:
    if bench.setup.name in shed.audits:
        return Message("bench.audit_going")
    if _is_checked(bench, shed):
        return Message("bench.scale_check_going")
    if shed.day is None:
        return Message("bench.open_day_first")
    if bench.choice is None:
        return Message("bench.choose_first")
    return _trouble(bench) or _question(bench, shed) or _SENTENCE[bench.step](bench, shed, net)


def _question(bench: Bench, shed: Shed) -> Message | None:
    watch = shed.fruit.get(bench.setup.name)
    return None if watch is None or watch.asked is None else Message("bench.count_fruit")


def _trouble(bench: Bench) -> Message | None:
    reading = bench.reading
    if reading is None and _can_send_one(bench):
        return _send_one(bench)
    if reading is None:
        return Message(_no_weight(bench), {"link": bench.link.value})
    if reading.state in _BEYOND:
        return Message(_BEYOND[reading.state])
    if bench.has_wrong_unit and reading.mass is not None:
        expected = bench.setup.unit.value
        return Message("bench.wrong_unit", {"shown": reading.mass.unit.value, "expected": expected})
    return None


def _send_one(bench: Bench) -> Message:
    """Ask for a reading, of what must be on the pan now."""
    if bench.step is Step.CLOSED and bench.last_box is not None:
        return Message("bench.lift_off_next", {"serial": bench.last_box.serial})
    names = _SEND_BOX if bench.step is Step.EMPTY else _SEND_ONE
    return Message(names[bench.setup.sends])


def _can_send_one(bench: Bench) -> bool:
    """Tell whether a scale that sends single readings is there, as far as can be known."""
    if bench.setup.sends is Sends.STREAM or bench.link is Link.LOST:
        return False
    return bench.link is not Link.UNHEARD or bench.setup.port is not None


def _no_weight(bench: Bench) -> str:
    """Name the sentence for a scale from which nothing comes."""
    kept = bench.step.has_open_box
    if bench.line in NEEDS_A_LOOK:
        return "bench.box_kept_look" if kept else "bench.scale_unread"
    return "bench.box_kept" if kept else _NO_SCALE[bench.link]


def _empty(bench: Bench, shed: Shed, net: Mass | None) -> Message:
    del shed, net
    if bench.notice is not None:
        return bench.notice
    if bench.odd_weight is not None:
        values = {"shown": bench.odd_weight, "division": bench.setup.division}
        return Message("bench.wrong_division", values)
    if bench.zero.trouble is not None and _is_steady(bench.reading):
        return Message(_ZERO[bench.zero.trouble], {"shown": bench.zero.shown})
    return Message("bench.put_box_on")


def _box_on(bench: Bench, shed: Shed, net: Mass | None) -> Message:
    del shed, net
    reading = bench.reading
    load = None if reading is None else bench.pan.load(reading)
    if reading is None or load is None or not _is_steady(reading):
        return Message("bench.wait_steady")
    if bench.pan.hides_unseen:
        return Message("bench.clear_scale_tare")
    if bench.tares.holds(load):
        return Message("bench.tare_box", {"weight": load})
    least, most = bench.tares.least, bench.tares.most
    return Message("bench.odd_box", {"weight": load, "least": least, "most": most})


def _filling(bench: Bench, shed: Shed, net: Mass | None) -> Message:
    if net is None or bench.limits is None:
        return Message("bench.wait_steady")
    trim = trim_say(shed.trimming.get(bench.setup.name))
    if trim is not None:
        return trim
    if bench.reading is not None and _needs_reading(bench):
        typed = bench.reading.typed
        return Message("bench.type_again" if typed else _FILL_AND_SEND[bench.setup.sends])
    match bench.limits.verdict(net):
        case Verdict.UNDER:
            return Message("bench.add", {"mass": bench.limits.lowest - net})
        case Verdict.OVER:
            return _too_heavy(bench, net)
        case Verdict.ON:
            return Message("bench.close_box" if _is_steady(bench.reading) else "bench.on_moving")


def _too_heavy(bench: Bench, net: Mass) -> Message:
    assert bench.limits is not None  # noqa: S101  # only asked while filling
    over = net - bench.limits.highest
    second_box = over * 2 > bench.limits.highest
    return Message("bench.second_box" if second_box else "bench.take_out", {"mass": over})


def _lifted(bench: Bench, shed: Shed, net: Mass | None) -> Message:
    del shed, net
    before = None if bench.pan.steady is None else bench.pan.net(bench.pan.steady)
    if before is None:
        return Message("bench.not_on", {"tare": bench.pan.tare})
    return Message("bench.lifted", {"before": before})


def _interrupted(bench: Bench, shed: Shed, net: Mass | None) -> Message:
    del bench, shed, net
    return Message("bench.interrupted")


def _changed(bench: Bench, shed: Shed, net: Mass | None) -> Message:
    del shed, net
    reading, before = bench.reading, bench.pan.steady
    if reading is None or reading.mass is None:
        return Message("bench.interrupted")
    if reading.mode is not Mode.NET and not bench.pan.knows_hidden(reading):
        return Message("bench.unproven", {"now": reading.mass})
    if before is None or before.mass is None:
        return Message("bench.left_open", {"now": reading.mass, "tare": bench.pan.tare})
    if reading.mode is not before.mode:
        return Message("bench.mode_changed", {"now": reading.mass, "before": before.mass})
    return Message("bench.changed", {"now": reading.mass, "before": before.mass})


def _closed(bench: Bench, shed: Shed, net: Mass | None) -> Message:
    del shed, net
    name = "" if bench.last_box is None else bench.last_box.serial
    return Message("bench.lift_off", {"serial": name})


_SENTENCE: Final[Mapping[Step, Callable[[Bench, Shed, Mass | None], Message]]] = {
    Step.EMPTY: _empty,
    Step.BOX_ON: _box_on,
    Step.FILLING: _filling,
    Step.LIFTED: _lifted,
    Step.INTERRUPTED: _interrupted,
    Step.CHANGED: _changed,
    Step.CLOSED: _closed,
}
