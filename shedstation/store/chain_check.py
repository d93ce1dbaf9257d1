"""Check that every fact is there, unchanged and in its place."""

from collections.abc import Iterable

from shedstation.domain.chain import FIRST, fits
from shedstation.domain.facts import Fact
from shedstation.domain.message import Message


def chain_findings(facts: Iterable[Fact]) -> list[Message]:
    """Give what is wrong with the benches' chains; nothing means whole."""
    found = []
    last: dict[str, tuple[int, str]] = {}
    for fact in facts:
        seq, head = last.get(fact.bench, (0, FIRST))
        if fact.seq != seq + 1:
            found.append(Message("store.fact_missing", {"bench": fact.bench, "seq": seq + 1}))
        elif not fits(fact, head):
            found.append(Message("store.fact_changed", {"bench": fact.bench, "seq": fact.seq}))
        last[fact.bench] = (fact.seq, fact.hash)
    return found
