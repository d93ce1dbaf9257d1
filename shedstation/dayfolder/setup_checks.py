"""Check what single keys of a station file cannot show: whether they fit together."""

from collections import Counter
from collections.abc import Callable, Sequence
from functools import partial
from typing import Final

from shedstation import resources
from shedstation.dayfolder.findings import Findings
from shedstation.dayfolder.places import Places
from shedstation.domain.farm import Bench, BoxKind, NetOnLabel, Pack, Setup
from shedstation.domain.limits import limits
from shedstation.domain.scale_fit import is_too_coarse
from shedstation.domain.size_codes import SIZE_CODES

_STEPS: Final = ("1", "2", "5")


def check_setup(setup: Setup, places: Places, findings: Findings) -> None:
    """Note all that does not fit together."""
    _check_names(setup, places, findings)
    for index, bench in enumerate(setup.benches):
        _check_bench(bench, partial(places.line, "bench", index), findings)
    for index, box in enumerate(setup.boxes):
        _check_box(box, places.line("box", index, "tare_least"), findings)
    kinds = {box.kind for box in setup.boxes}
    for index, pack in enumerate(setup.packs):
        if pack.box not in kinds:
            line = places.line("pack", index, "box")
            findings.add(line, "unknown_box", pack=pack.name, box=pack.box, known=sorted(kinds))
        _check_size(pack, places.line("pack", index, "size_code"), findings)
        for bench in setup.benches:
            _check_pack(pack, bench, partial(places.line, "pack", index), findings)
    _check_currency(setup, places, findings)
    known = resources.label_template_names()
    if setup.label_template not in known:
        line = places.line("label", 0, "template")
        findings.add(line, "unknown_template", template=setup.label_template, known=list(known))


def _check_currency(setup: Setup, places: Places, findings: Findings) -> None:
    """Hold all prices to one currency, so that they can be added."""
    priced = [(at, pack.price) for at, pack in enumerate(setup.packs) if pack.price is not None]
    for index, price in priced[1:]:
        first = priced[0][1].currency
        if price.currency != first:
            line = places.line("pack", index, "price")
            findings.add(line, "two_currencies", found=price.currency, first=first)


def _check_names(setup: Setup, places: Places, findings: Findings) -> None:
    named: dict[tuple[str, str], Sequence[str]] = {
        ("bench", "name"): [bench.name for bench in setup.benches],
        ("box", "kind"): [box.kind for box in setup.boxes],
        ("pack", "name"): [pack.name for pack in setup.packs],
        ("cultivar", "code"): [each.code for each in setup.cultivars],
        ("block", "code"): [each.code for each in setup.blocks],
        ("grade", "code"): [each.code for each in setup.grades],
        ("defect", "code"): [each.code for each in setup.defects],
        ("room", "code"): [each.code for each in setup.rooms],
        ("buyer", "code"): [each.code for each in setup.buyers],
        ("person", "code"): [each.code for each in setup.people],
    }
    for (table, key), names in named.items():
        for name, times in Counter(names).items():
            if times > 1:
                last = len(names) - 1 - names[::-1].index(name)
                findings.add(places.line(table, last, key), "twice", table=table, what=name)


def _check_bench(bench: Bench, line_of: Callable[[str], int], findings: Findings) -> None:
    if bench.division.unit is not bench.unit or bench.capacity.unit is not bench.unit:
        findings.add(line_of("division"), "bench_units", bench=bench.name, unit=bench.unit.value)
        return
    if str(bench.division.count).rstrip("0") not in _STEPS:
        findings.add(line_of("division"), "division_step", division=bench.division)
    if bench.capacity < bench.division * 100:
        findings.add(line_of("capacity"), "capacity_small", capacity=bench.capacity)


def _check_box(box: BoxKind, line: int, findings: Findings) -> None:
    if box.tare_most < box.tare_least:
        findings.add(line, "tare_range", least=box.tare_least, most=box.tare_most)


def _check_size(pack: Pack, line: int, findings: Findings) -> None:
    if pack.size_code is None:
        return
    if pack.size_standard is None:
        findings.add(line, "size_without_standard", pack=pack.name, code=pack.size_code)
        return
    known = [each.code for each in SIZE_CODES[pack.size_standard]]
    if pack.size_code not in known:
        standard = pack.size_standard.value
        values = {"pack": pack.name, "code": pack.size_code, "standard": standard, "known": known}
        findings.add(line, "unknown_size", **values)


def _check_pack(
    pack: Pack, bench: Bench, line_of: Callable[[str], int], findings: Findings
) -> None:
    if pack.target > bench.capacity:
        findings.add(line_of("target"), "target_over", pack=pack.name, capacity=bench.capacity)
        return
    window = limits(pack, bench.division)
    if window.highest < window.lowest or window.lowest.count <= 0:
        values = {"pack": pack.name, "lowest": window.lowest, "highest": window.highest}
        findings.add(line_of("under"), "window_empty", **values)
    elif is_too_coarse(pack, bench.division):
        values = {"pack": pack.name, "bench": bench.name, "division": bench.division}
        findings.add(line_of("over"), "window_too_narrow", **values)
    elif pack.net_on_label is NetOnLabel.DECLARED and window.lowest < pack.label_net:
        values = {"pack": pack.name, "lowest": window.lowest, "label": pack.label_net}
        findings.add(line_of("under"), "below_label", **values)
