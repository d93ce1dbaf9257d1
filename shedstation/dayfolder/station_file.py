"""Read the station file: everything a farm has set up."""

import tomllib
from collections.abc import Mapping
from decimal import Decimal
from functools import partial
from pathlib import Path
from typing import Any, Final
from zoneinfo import available_timezones

from shedstation.dayfolder.fields import (
    Check,
    Field,
    WrongValue,
    a_code,
    a_flag,
    a_mass,
    a_mass_or_zero,
    a_price,
    a_room_temperature,
    a_share,
    a_small_share,
    a_text,
    needed,
    one_of,
    optional,
    several,
    written_out,
)
from shedstation.dayfolder.findings import Findings
from shedstation.dayfolder.places import Places
from shedstation.dayfolder.setup_checks import check_setup
from shedstation.dayfolder.tables import checked
from shedstation.dayfolder.texts import read_text
from shedstation.domain.farm import (
    LINE_BITS,
    LINE_SPEEDS,
    MOST_CHECK_DAYS,
    MOST_DAYS_TO_BUYER,
    Bench,
    BoxKind,
    Coded,
    Farm,
    NetOnLabel,
    Pack,
    Person,
    Sends,
    Setup,
)
from shedstation.domain.gs1 import is_gtin
from shedstation.domain.mass import Unit, counted_in
from shedstation.domain.payload import to_payload
from shedstation.domain.scale_tolerance import Standard
from shedstation.domain.size_codes import SizeStandard
from shedstation.domain.trim_tray import NUMBERS_OF_CUPS
from shedstation.words import LANGUAGES

_DPI: Final = (203, 300, 305, 600)
_GTIN_DIGITS: Final = 14


def a_gtin(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
    """Check a GTIN of 8, 12, 13 or 14 digits with its check digit; give it with 14."""
    if not isinstance(value, str) or not is_gtin(value):
        raise WrongValue("gtin")
    return value.rjust(_GTIN_DIGITS, "0")


def a_prefix(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
    """Check a company prefix: 4 to 12 digits."""
    if not isinstance(value, str) or not value.isascii() or not value.isdigit():
        raise WrongValue("gtin_prefix")
    if not 4 <= len(value) <= 12:  # noqa: PLR2004  # the lengths GS1 gives out
        raise WrongValue("gtin_prefix")
    return value


def a_bench_name(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
    """Check a bench name: a capital letter, then up to three capitals or digits."""
    good = isinstance(value, str) and value.isascii() and value.isalnum() and value == value.upper()
    if not good or not value[0].isalpha() or len(value) > 4:  # noqa: PLR2004  # fits the serial
        raise WrongValue("bench_name")
    return str(value)


def a_side(value: Any) -> str:  # noqa: ANN401  # from a file, it can be anything
    """Check a length in inches, above zero and at most 100."""
    good = isinstance(value, int | Decimal) and not isinstance(value, bool)
    if not good or not Decimal(value).is_finite() or not 0 < Decimal(value) <= 100:  # noqa: PLR2004  # no box is wider
        raise WrongValue("inches")
    return written_out(value)


def a_panel(value: Any) -> tuple[str, str]:  # noqa: ANN401  # from a file, it can be anything
    """Check a panel: width and height."""
    if not isinstance(value, list) or len(value) != 2:  # noqa: PLR2004  # width and height
        raise WrongValue("panel")
    return a_side(value[0]), a_side(value[1])


def a_dpi(value: Any) -> int:  # noqa: ANN401  # from a file, it can be anything
    """Check a print head's dots per inch."""
    if isinstance(value, bool) or value not in _DPI:
        raise WrongValue("one_of", codes=[str(each) for each in _DPI])
    return int(value)


def a_baud(value: Any) -> int:  # noqa: ANN401  # from a file, it can be anything
    """Check a line speed."""
    if isinstance(value, bool) or value not in LINE_SPEEDS:
        raise WrongValue("one_of", codes=[str(each) for each in LINE_SPEEDS])
    return int(value)


def days_up_to(most: int) -> Check:
    """Make a check for a number of days from 0."""

    def check(value: Any) -> int:  # noqa: ANN401  # from a file, it can be anything
        if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= most:
            raise WrongValue("count", least=0, most=most)
        return value

    return check


def a_number_of_cups(value: Any) -> int:  # noqa: ANN401  # from a file, it can be anything
    """Check how many cups stand beside a scale: three to six, or 0 for none."""
    if isinstance(value, bool | Decimal) or value not in NUMBERS_OF_CUPS:
        raise WrongValue("one_of", codes=[str(each) for each in NUMBERS_OF_CUPS])
    return int(value)


_CODED: Final = {"code": needed(a_code), "name": needed(a_text)}
_UNITS: Final = {unit.value for unit in Unit}

FORM: Final[Mapping[str, Mapping[str, Field]]] = {
    "farm": {
        "name": needed(a_text),
        "address": needed(several(a_text)),
        "origin": needed(a_text),
        "time_zone": needed(one_of(available_timezones())),
        "gtin_prefix": optional(a_prefix),
    },
    "station": {
        "language": optional(one_of(set(LANGUAGES))),
        "backup_folder": optional(a_text),
        "lead_pin_hash": optional(a_text),
        "scale_standard": optional(one_of({each.value for each in Standard})),
        "scale_check_days": optional(days_up_to(MOST_CHECK_DAYS)),
        "tells_fruit": optional(a_flag),
        "days_to_buyer": optional(days_up_to(MOST_DAYS_TO_BUYER)),
        "room_temperature": optional(a_room_temperature),
        "humidity": optional(a_share),
        "giveaway_by_packer": optional(a_flag),
    },
    "label": {
        "template": needed(a_text),
        "spool": optional(one_of({"folder", "printer"})),
        "printer": optional(a_text),
        "printer_dpi": optional(a_dpi),
    },
    "bench": {
        "name": needed(a_bench_name),
        "scale": needed(a_text),
        "unit": needed(one_of(_UNITS)),
        "division": needed(a_mass),
        "capacity": needed(a_mass),
        "port": optional(a_text),
        "baud": optional(a_baud),
        "bits": optional(one_of(set(LINE_BITS))),
        "sends": optional(one_of({each.value for each in Sends})),
        "cups": optional(a_number_of_cups),
    },
    "box": {
        "kind": needed(a_text),
        "tare_least": needed(a_mass),
        "tare_most": needed(a_mass),
        "panel_in": needed(a_panel),
    },
    "pack": {
        "name": needed(a_text),
        "box": needed(a_text),
        "target": needed(a_mass),
        "under": needed(a_mass_or_zero),
        "over": needed(a_mass_or_zero),
        "net_on_label": needed(one_of({"declared", "actual"})),
        "label_net": optional(a_mass),
        "gtin": optional(a_gtin),
        "size_standard": optional(one_of({each.value for each in SizeStandard})),
        "size_code": optional(a_code),
        "price": optional(a_price),
        "share_below": optional(a_small_share),
    },
    "cultivar": _CODED,
    "block": _CODED,
    "grade": _CODED,
    "defect": _CODED,
    "room": _CODED,
    "buyer": _CODED,
    "person": {**_CODED, "lead": optional(a_flag)},
}
"""Every table of the station file and its keys."""

_CODED_TABLES: Final = {
    "cultivar": "cultivars", "block": "blocks", "grade": "grades", "defect": "defects",
    "room": "rooms", "buyer": "buyers", "person": "people",
}  # fmt: skip

SINGLE: Final = ("farm", "station", "label")
_NEEDED: Final = ("farm", "label", "bench", "box", "pack", "cultivar", "block", "grade")


def read_station_file(path: Path) -> Setup:
    """Read a station file.

    Raises:
        BadFile: with every finding, each with its line.
        WorldFault: if the file cannot be read at all.
    """
    findings = Findings(path)
    text = read_text(path)
    raw = _toml(text, findings)
    places = Places(text)
    found = _tables(raw, places, findings)
    findings.raise_any()
    setup = _setup(found)
    check_setup(setup, places, findings)
    findings.raise_any()
    return setup


def _toml(text: str, findings: Findings) -> dict[str, Any]:
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        line = str(error).rpartition("line ")[2].partition(",")[0]
        number = int(line) if line.isdecimal() else text.count("\n") + 1
        findings.add(number, "toml", why=str(error))
        findings.raise_any()
        raise


def _tables(raw: dict[str, Any], places: Places, findings: Findings) -> dict[str, Any]:
    found: dict[str, Any] = {name: [] for name in FORM}
    for name in _NEEDED:
        if name not in raw:
            findings.add(1, "table_missing", table=name)
    for name, value in raw.items():
        if name.startswith("x_"):
            continue
        if name not in FORM:
            findings.add(places.line(name), "unknown_table", table=name, known=sorted(FORM))
            continue
        found[name] = _rows(name, value, places, findings)
    return found


def _rows(name: str, value: object, places: Places, findings: Findings) -> list[dict[str, Any]]:
    rows = [value] if name in SINGLE else value
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        findings.add(places.line(name), "not_a_table", table=name)
        return []
    return [
        checked(FORM[name], row, partial(places.line, name, index), findings)
        for index, row in enumerate(rows)
    ]


def _setup(found: Mapping[str, list[dict[str, Any]]]) -> Setup:
    label = found["label"][0]
    station = found["station"][0] if found["station"] else {}
    farm = found["farm"][0]
    return Setup(
        farm=Farm(**farm),
        benches=tuple(map(_bench, found["bench"])),
        boxes=tuple(BoxKind(**row) for row in found["box"]),
        packs=tuple(map(_pack, found["pack"])),
        cultivars=_coded(found["cultivar"]),
        blocks=_coded(found["block"]),
        grades=_coded(found["grade"]),
        defects=_coded(found["defect"]),
        rooms=_coded(found["room"]),
        buyers=_coded(found["buyer"]),
        people=tuple(map(_person, found["person"])),
        label_template=label["template"],
        **{key: label[key] for key in ("spool", "printer", "printer_dpi") if key in label},
        **_station(station),
    )


def _station(row: Mapping[str, Any]) -> dict[str, Any]:
    standard = row.get("scale_standard")
    return {**row, **({"scale_standard": Standard(standard)} if standard else {})}


def check_values(setup: Setup, findings: Findings) -> None:
    """Note what a station file would not take of a setup that was made elsewhere."""
    values = to_payload(setup)
    tables = {"farm": "farm", "bench": "benches", "box": "boxes", "pack": "packs", **_CODED_TABLES}
    for table, name in tables.items():
        found: Any = values[name]
        for row in [found] if isinstance(found, dict) else found:
            checked(_writable(FORM[table]), _written(row), lambda _key: 1, findings)


def _writable(form: Mapping[str, Field]) -> Mapping[str, Field]:
    """Give a form for a setup's own values: sides are text there, and the lead is marked otherwise."""
    return {key: field for key, field in form.items() if key not in {"panel_in", "lead"}}


def _written(row: Mapping[str, Any]) -> dict[str, Any]:
    left_out = {"panel_in", "is_lead"}
    return {key: each for key, each in row.items() if each is not None and key not in left_out}


def _coded(rows: list[dict[str, Any]]) -> tuple[Coded, ...]:
    return tuple(Coded(**row) for row in rows)


def _person(row: dict[str, Any]) -> Person:
    return Person(code=row["code"], name=row["name"], is_lead=row.get("lead", False))


def _bench(row: dict[str, Any]) -> Bench:
    unit = Unit(row["unit"])
    division, capacity = counted_in(row["division"], unit), counted_in(row["capacity"], unit)
    if capacity.unit is not unit:
        # A limit that is only compared may be cut; a division may not.
        capacity = capacity.in_unit(unit, division.decimals)
    sends = Sends(row.get("sends", Sends.STREAM.value))
    return Bench(
        **{**row, "unit": unit, "sends": sends, "division": division, "capacity": capacity}
    )


def _pack(row: dict[str, Any]) -> Pack:
    net = NetOnLabel(row["net_on_label"])
    standard = row.get("size_standard")
    size = {"size_standard": SizeStandard(standard)} if standard else {}
    return Pack(**{"label_net": row["target"], **row, "net_on_label": net, **size})
