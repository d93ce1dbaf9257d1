"""List the fields of every action and make the action from them."""

from collections.abc import Mapping
from typing import Any, Final

from shedstation.dayfolder import fields as f
from shedstation.dayfolder.fields import Check, Field, WrongValue, needed, optional
from shedstation.domain.audit import MOST_ALLOWANCE, AuditRule
from shedstation.domain.culls import Where
from shedstation.domain.farm import Coded, Setup
from shedstation.domain.intake import Ripeness, Share, Tub
from shedstation.station.actions import (
    Action,
    Dispatch,
    EnterCull,
    HoldFruit,
    LookAgain,
    ReceiveLoad,
)

_PLACES: Final = frozenset(each.value for each in Where)
_AMOUNT: Final = {"count": optional(f.a_count), "weight": optional(f.a_mass)}


def an_object(form: Mapping[str, Field], kind: type[Any]) -> Check:
    """Make a check for a nested object with its own form."""

    def check(value: Any) -> Any:  # noqa: ANN401  # from a file, it can be anything
        if not isinstance(value, dict) or not set(value) <= set(form):
            raise WrongValue("object", keys=sorted(form))
        if any(field.is_needed and key not in value for key, field in form.items()):
            raise WrongValue("object", keys=sorted(form))
        return kind(**{key: form[key].check(value[key]) for key in value})

    return check


def _share(value: Any) -> Share:  # noqa: ANN401  # from a file, it can be anything
    share: Share = an_object(
        {"count": optional(f.a_count_or_zero), "weight": optional(f.a_mass_or_zero)}, Share
    )(value)
    if share.count is None and share.weight is None:
        raise WrongValue("share")
    return share


def _tub(value: Any) -> Tub:  # noqa: ANN401  # from a file, it can be anything
    tub: Tub = an_object({"gross": needed(f.a_mass), "tare": needed(f.a_mass_or_zero)}, Tub)(value)
    if not tub.is_possible:
        raise WrongValue("tub")
    return tub


_RIPENESS: Final = an_object(
    {
        "half_or_more": needed(f.a_count_or_zero),
        "quarter_to_half": needed(f.a_count_or_zero),
        "less": needed(f.a_count_or_zero),
    },
    Ripeness,
)


def _settings(value: Any) -> dict[str, Any]:  # noqa: ANN401  # from a file, it can be anything
    if not isinstance(value, dict) or not value:
        raise WrongValue("settings")
    return value


_CORRECT: Final = {
    "what": needed(f.one_of({"cull", "load", "box"})),
    "which": needed(f.one_or_several(f.a_text)),
    "set": needed(_settings),
    "reason": needed(f.a_text),
}


_AT_THE_SCALE: Final[Mapping[str, Mapping[str, Field]]] = {
    "type_weight": {"shown": needed(f.a_mass_or_zero)},
    "tell_cup": {"cup": needed(f.a_count_or_zero)},
    "empty_cups": {"cups": optional(f.several(f.a_count))},
    "check_scale": {"applied": needed(f.a_mass), "shown": needed(f.a_mass_or_zero)},
    "start_scale_check": {
        "weights": needed(f.several(f.a_mass)),
        "certificate": optional(f.a_text),
        "is_new": optional(f.a_flag),
    },
    "take_check_point": {"confirmed": optional(f.a_flag)},
    "end_scale_check": {"reason": needed(f.a_text)},
    "start_audit": {
        "pack": needed(f.a_text),
        "rule": needed(f.one_of({each.value for each in AuditRule})),
        "packed_on": optional(f.a_date),
        "lot": optional(f.a_code),
        "label": optional(f.a_mass),
        "allowance": optional(f.a_number("0", str(MOST_ALLOWANCE))),
    },
    "reweigh": {"serial": needed(f.a_serial), "confirmed": optional(f.a_flag)},
    "replace_box": {"serial": needed(f.a_serial), "reason": needed(f.a_text)},
    "end_audit": {"reason": needed(f.a_text)},
}


def _codes(coded: tuple[Coded, ...]) -> Check:
    return f.one_of({each.code for each in coded})


def forms_for(setup: Setup) -> Mapping[str, Mapping[str, Field]]:
    """Give the fields of every action, with the codes that this setup knows."""
    packs = f.one_of({pack.name for pack in setup.packs})
    serial, serials = needed(f.a_serial), f.several(f.a_serial)
    reason, load = needed(f.a_text), needed(f.a_code)
    return {
        "open_day": {"date": needed(f.a_date), "starts_at": optional(f.a_time)},
        "receive_load": _receive_load(setup),
        "choose": {"load": load, "pack": needed(packs), "grade": needed(_codes(setup.grades))},
        "tare": {"confirmed": optional(f.a_flag)},
        "close_box": {"count": optional(f.a_count), "override_reason": optional(f.a_text)},
        "continue_box": {},
        "abandon_box": {"reason": reason},
        "cull": {
            "load": load,
            "defect": needed(_codes(setup.defects)),
            **_AMOUNT,
            "where": needed(f.one_of(_PLACES)),
            "id": optional(f.a_code),
        },
        "hold": {"load": load, "room": needed(_codes(setup.rooms)), **_AMOUNT},
        "look_again": {
            "load": load,
            "room": needed(_codes(setup.rooms)),
            "ready": optional(_share),
            "still_hold": optional(_share),
            "cull": optional(_share),
        },
        "check_wash": {
            "free_chlorine_ppm": needed(f.a_number("0", "1000")),
            "ph": needed(f.a_number("0", "14")),
            "water": optional(f.a_text),
        },
        "read_room": {
            "room": needed(_codes(setup.rooms)),
            "temperature": needed(f.a_temperature),
        },
        "void_box": {"serial": serial, "reason": reason},
        "reprint": {"serial": serial},
        "print_batch": {"serials": needed(serials)},
        "label_came_out": {"serial": serial, "yes": needed(f.a_flag)},
        "correct": _CORRECT,
        "move": {"serials": needed(serials), "room": needed(_codes(setup.rooms))},
        **_AT_THE_SCALE,
        "dispatch": {
            "buyer": needed(_codes(setup.buyers)),
            "serials": optional(serials),
            "lots": optional(f.several(f.a_code)),
        },
        "return": {"serials": needed(serials), "reason": reason},
        "choose_person": {"person": needed(f.one_of({each.code for each in setup.people}))},
        "close_day": {},
    }


def _receive_load(setup: Setup) -> Mapping[str, Field]:
    return {
        "load": needed(f.a_code),
        "block": needed(_codes(setup.blocks)),
        "cultivar": needed(_codes(setup.cultivars)),
        "picked_on": needed(f.a_date),
        "weight": optional(f.a_mass),
        "tubs": optional(f.several(_tub)),
        "estimated": optional(f.a_flag),
        "ripeness": optional(_RIPENESS),
    }


def settable(setup: Setup, what: str) -> Mapping[str, Field]:
    """Give what a correction of a box, a cull or a load may set."""
    if what == "box":
        return {
            "load": optional(f.a_code),
            "pack": optional(f.one_of({pack.name for pack in setup.packs})),
            "grade": optional(_codes(setup.grades)),
            "count": optional(f.a_count),
        }
    if what == "cull":
        return {
            "load": optional(f.a_code),
            "defect": optional(_codes(setup.defects)),
            "where": optional(f.one_of(_PLACES)),
            **_AMOUNT,
        }
    return {
        "block": optional(_codes(setup.blocks)),
        "cultivar": optional(_codes(setup.cultivars)),
        "picked_on": optional(f.a_date),
        "weight": optional(f.a_mass),
        "estimated": optional(f.a_flag),
    }


def build(kind: type[Action], good: dict[str, Any]) -> Action:
    """Make an action from checked fields.

    Raises:
        WrongValue: if fields that are right alone do not make sense together.
    """
    if "where" in good:
        good["where"] = Where(good["where"])
    if "rule" in good:
        good["rule"] = AuditRule(good["rule"])
    action = kind(**good)
    if isinstance(action, EnterCull | HoldFruit) and (action.count, action.weight) == (None, None):
        raise WrongValue("amount")
    if isinstance(action, LookAgain) and not (action.ready or action.still_hold or action.cull):
        raise WrongValue("share")
    if isinstance(action, Dispatch) and not (action.serials or action.lots):
        raise WrongValue("serials_or_lots")
    if isinstance(action, ReceiveLoad) and action.weight is not None and action.tubs:
        raise WrongValue("weight_or_tubs")
    return action
