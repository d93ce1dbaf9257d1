"""Turn what is typed on the setup screen into a setup, and a setup into what is shown there."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final, TypeVar

from shedstation.domain.farm import (
    MOST_CHECK_DAYS,
    USUAL_CHECK_DAYS,
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
from shedstation.domain.mass import Mass, Unit, counted_in, parse_mass
from shedstation.domain.message import Message
from shedstation.domain.scale_tolerance import Standard
from shedstation.domain.size_codes import SizeStandard

T = TypeVar("T")

LEAD_MARK: Final = "*"
_GTIN_DIGITS: Final = 14
_USUAL_BAUD: Final = 9600
_USUAL_BITS: Final = "auto"

DEFAULTS: Final[Mapping[str, str]] = {
    "farm_name": "",
    "address": "",
    "origin": "",
    "time_zone": "America/Puerto_Rico",
    "gtin_prefix": "",
    "setup_language": "en",
    "bench_name": "B1",
    "bench_port": "",
    "bench_scale": "auto",
    "bench_unit": "lb",
    "division": "0.01 lb",
    "capacity": "60 lb",
    "bench_cups": "0",
    "scale_standard": "us",
    "scale_check_days": str(USUAL_CHECK_DAYS),
    "box_kind": "flat",
    "tare_least": "1.20 lb",
    "tare_most": "2.20 lb",
    "panel_width": "16",
    "panel_height": "5",
    "pack_name": "Flat 25 lb",
    "target": "25.00 lb",
    "under": "0 lb",
    "over": "0.30 lb",
    "net_on_label": "declared",
    "gtin": "",
    "size_standard": "",
    "size_code": "",
    "cultivars": "KENT Kent",
    "blocks": "A Block A",
    "grades": "1 No. 1\n2 No. 2",
    "defects": "",
    "people": "lead Shed lead *",
    "rooms": "CHILL chill room\nHOLD holding room",
    "buyers": "MKT market",
    "pin": "",
    "template": "bench_4x2",
    "spool": "folder",
    "printer": "",
    "printer_dpi": "203",
    "backup_folder": "",
}
"""What a new farm starts from: the usual single-layer flat of 25 lb (common practice of the trade)."""


class BadDraft(ValueError):
    """Something typed that cannot be used."""

    def __init__(self, message: Message) -> None:
        """Carry the sentence."""
        super().__init__(str(message))
        self.message = message


@dataclass(frozen=True, slots=True)
class Reading:
    """Reads fields of a draft and says which one is wrong."""

    draft: Mapping[str, str]

    def text(self, name: str) -> str:
        """Give a field that must not be empty."""
        found = self.draft[name].strip()
        if not found:
            raise BadDraft(
                Message("setup.empty", {"field": Message(f"ui.{_LABELS.get(name, name)}")})
            )
        return found

    def mass(self, name: str) -> Mass:
        """Give a mass with its unit."""
        return self._parsed(name, parse_mass, "setup.not_a_mass")

    def _parsed(self, name: str, parse: Callable[[str], T], complaint: str) -> T:
        found = self.text(name)
        try:
            return parse(found)
        except ValueError:
            field = Message(f"ui.{_LABELS.get(name, name)}")
            raise BadDraft(Message(complaint, {"field": field, "found": found})) from None

    def inches(self, name: str) -> str:
        """Give a length in inches as decimal text."""

        def parse(text: str) -> str:
            if not 0 < float(text) <= 100:  # noqa: PLR2004  # no box is wider
                raise ValueError(text)
            return text

        return self._parsed(name, parse, "setup.not_inches")

    def days(self, name: str) -> int:
        """Give a whole number of days up to a year; 0 means never."""

        def parse(text: str) -> int:
            if not text.isdecimal() or int(text) > MOST_CHECK_DAYS:
                raise ValueError(text)
            return int(text)

        return self._parsed(name, parse, "setup.not_days")

    def optional(self, name: str) -> str | None:
        """Give a field that may be empty."""
        return self.draft[name].strip() or None

    def lines(self, name: str) -> tuple[str, ...]:
        """Give the lines of a field that are not empty."""
        return tuple(line.strip() for line in self.draft[name].splitlines() if line.strip())

    def coded(self, name: str) -> tuple[Coded, ...]:
        """Give `CODE name` lines; a line of one word is its own name."""
        return tuple(_coded(line) for line in self.lines(name))


_LABELS: Final = {"bench_scale": "language_of_scale", "bench_unit": "unit", "bench_port": "port"}


def _coded(line: str) -> Coded:
    code, _, name = line.partition(" ")
    return Coded(code=code, name=name.strip() or code)


def _person(line: str) -> Person:
    is_lead = line.endswith(LEAD_MARK)
    each = _coded(line.removesuffix(LEAD_MARK).strip())
    return Person(code=each.code, name=each.name, is_lead=is_lead)


def setup_of(draft: Mapping[str, str], before: Setup | None, pin_hash: str | None) -> Setup:
    """Make a setup from what was typed.

    Args:
        draft: Text by field, as in `DEFAULTS`.
        before: The setup so far; its further packs, boxes and benches are kept.
        pin_hash: Hash of a PIN typed now; none keeps the one before.

    Raises:
        BadDraft: at the first field that cannot be used.
    """
    read = Reading(draft)
    for name in ("cultivars", "blocks", "grades"):
        read.text(name)
    return Setup(
        farm=_farm(read),
        benches=(_bench(read, before), *(before.benches[1:] if before else ())),
        boxes=(_box(read), *(before.boxes[1:] if before else ())),
        packs=(_pack(read, before), *(before.packs[1:] if before else ())),
        cultivars=read.coded("cultivars"),
        blocks=read.coded("blocks"),
        grades=read.coded("grades"),
        defects=read.coded("defects"),
        rooms=read.coded("rooms"),
        buyers=read.coded("buyers"),
        people=tuple(map(_person, read.lines("people"))),
        label_template=read.text("template"),
        lead_pin_hash=pin_hash or (before.lead_pin_hash if before else None),
        backup_folder=read.optional("backup_folder"),
        spool=read.text("spool"),
        printer=read.optional("printer"),
        printer_dpi=int(read.text("printer_dpi")),
        language=read.text("setup_language"),
        scale_standard=Standard(read.text("scale_standard")),
        scale_check_days=read.days("scale_check_days"),
        tells_fruit=before.tells_fruit if before else False,
        days_to_buyer=before.days_to_buyer if before else None,
        room_temperature=before.room_temperature if before else None,
        humidity=before.humidity if before else None,
        giveaway_by_packer=before.giveaway_by_packer if before else False,
    )


def _farm(read: Reading) -> Farm:
    read.text("address")
    return Farm(
        name=read.text("farm_name"),
        address=read.lines("address"),
        origin=read.text("origin"),
        time_zone=read.text("time_zone"),
        gtin_prefix=read.optional("gtin_prefix"),
    )


def _bench(read: Reading, before: Setup | None) -> Bench:
    unit = Unit(read.text("bench_unit"))
    return Bench(
        name=read.text("bench_name"),
        scale=read.text("bench_scale"),
        unit=unit,
        division=counted_in(read.mass("division"), unit),
        capacity=counted_in(read.mass("capacity"), unit),
        port=read.optional("bench_port"),
        baud=before.benches[0].baud if before else _USUAL_BAUD,
        bits=before.benches[0].bits if before else _USUAL_BITS,
        sends=before.benches[0].sends if before else Sends.STREAM,
        cups=int(read.text("bench_cups")),
    )


def _box(read: Reading) -> BoxKind:
    return BoxKind(
        kind=read.text("box_kind"),
        tare_least=read.mass("tare_least"),
        tare_most=read.mass("tare_most"),
        panel_in=(read.inches("panel_width"), read.inches("panel_height")),
    )


def _pack(read: Reading, before: Setup | None) -> Pack:
    gtin = read.optional("gtin")
    if gtin is not None and not is_gtin(gtin):
        raise BadDraft(Message("setup.not_a_gtin", {"found": gtin}))
    target, standard = read.mass("target"), read.optional("size_standard")
    return Pack(
        name=read.text("pack_name"),
        box=read.text("box_kind"),
        target=target,
        under=read.mass("under"),
        over=read.mass("over"),
        net_on_label=NetOnLabel(read.text("net_on_label")),
        label_net=_label_net(target, before),
        gtin=None if gtin is None else gtin.rjust(_GTIN_DIGITS, "0"),
        size_standard=None if standard is None else SizeStandard(standard),
        size_code=read.optional("size_code"),
        price=before.packs[0].price if before else None,
        share_below=before.packs[0].share_below if before else None,
    )


def _label_net(target: Mass, before: Setup | None) -> Mass:
    """Keep what the label declares while the target stays; a new target is declared itself."""
    old = before.packs[0] if before else None
    return old.label_net if old is not None and old.target.same_as(target) else target


def draft_of(setup: Setup) -> dict[str, str]:
    """Give what the setup screen shows of a setup."""
    bench, box, pack = setup.benches[0], setup.boxes[0], setup.packs[0]
    return {
        "farm_name": setup.farm.name,
        "address": "\n".join(setup.farm.address),
        "origin": setup.farm.origin,
        "time_zone": setup.farm.time_zone,
        "gtin_prefix": setup.farm.gtin_prefix or "",
        "setup_language": setup.language,
        "bench_name": bench.name,
        "bench_port": bench.port or "",
        "bench_scale": bench.scale,
        "bench_unit": bench.unit.value,
        "division": str(bench.division),
        "capacity": str(bench.capacity),
        "bench_cups": str(bench.cups),
        "scale_standard": setup.scale_standard.value,
        "scale_check_days": str(setup.scale_check_days),
        "box_kind": box.kind,
        "tare_least": str(box.tare_least),
        "tare_most": str(box.tare_most),
        "panel_width": box.panel_in[0],
        "panel_height": box.panel_in[1],
        "pack_name": pack.name,
        "target": str(pack.target),
        "under": str(pack.under),
        "over": str(pack.over),
        "net_on_label": pack.net_on_label.value,
        "gtin": pack.gtin or "",
        "size_standard": "" if pack.size_standard is None else pack.size_standard.value,
        "size_code": pack.size_code or "",
        "cultivars": _lines(setup.cultivars),
        "blocks": _lines(setup.blocks),
        "grades": _lines(setup.grades),
        "defects": _lines(setup.defects),
        "people": _lines(setup.people),
        "rooms": _lines(setup.rooms),
        "buyers": _lines(setup.buyers),
        "pin": "",
        "template": setup.label_template,
        "spool": setup.spool,
        "printer": setup.printer or "",
        "printer_dpi": str(setup.printer_dpi),
        "backup_folder": setup.backup_folder or "",
    }


def _lines(coded: tuple[Coded, ...]) -> str:
    return "\n".join(
        f"{each.code} {each.name}{' *' if isinstance(each, Person) and each.is_lead else ''}"
        for each in coded
    )


def next_load_code(loads: int, today: date) -> str:
    """Propose a code for the next load: day of the year and a number."""
    return f"{today.timetuple().tm_yday:03d}-{loads + 1}"
