"""Pack boxes at a driven bench and weigh them again, for tests of audits."""

from typing import Any

from driving import Driver

from shedstation.domain.audit import AuditRule, AuditSoFar
from shedstation.domain.audit_result import AuditResult
from shedstation.domain.facts import Kind
from shedstation.domain.mass import parse_mass
from shedstation.station.actions import CloseBox, Reweigh, StartAudit, TareBox

TARE = parse_mass("1.64 lb")


def pack(bench: Driver, *nets: str) -> None:
    for net in nets:
        bench.shows("0.00")
        bench.shows("1.64")
        assert bench.code(TareBox) is None
        bench.shows((parse_mass(f"{net} lb") + TARE).number())
        assert bench.code(CloseBox) is None
    bench.shows("0.00")


def start(bench: Driver, **fields: Any) -> str | None:
    wanted = {"pack": "Flat 25 lb", "rule": AuditRule.HANDBOOK_133, **fields}
    return bench.code(StartAudit, **wanted)


def going(bench: Driver) -> AuditSoFar:
    found = bench.station.audit_at("B1")
    assert found is not None
    return found


def weigh(bench: Driver, serial: str, net: str, **fields: Any) -> str | None:
    """Put a box on that holds so much fruit now, and press."""
    bench.shows("0.00")
    bench.shows((parse_mass(f"{net} lb") + TARE).number())
    return bench.code(Reweigh, serial=serial, **fields)


def carry_through(bench: Driver, **nets: str) -> AuditResult:
    """Weigh every picked box; `B1_000002="24.60"` says what one of them holds now, the others 25.02."""
    while bench.station.audit_at("B1") is not None:
        serial = going(bench).left[0]
        assert weigh(bench, serial, nets.get(serial.replace("-", "_"), "25.02")) is None
    return result(bench)


def result(bench: Driver) -> AuditResult:
    found = bench.ledger.last_audit("B1")
    assert found is not None
    return found


def facts(bench: Driver, kind: Kind) -> list[dict[str, Any]]:
    return [dict(each.payload) for each in bench.ledger.facts() if each.kind is kind]
