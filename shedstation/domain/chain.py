"""Chain facts by hash, so that a changed or missing record shows."""

import hashlib
import json
from typing import Final

from shedstation.domain.facts import Draft, Fact

FIRST: Final = "0" * 64
"""What stands in place of the hash before a bench's first fact."""


def content(draft: Draft, uid: str, seq: int) -> str:
    """Give the fact's content as canonical JSON: sorted keys, no spaces, UTF-8, no floats."""
    parts = {
        "at": draft.at,
        "bench": draft.bench,
        "by": draft.by,
        "kind": draft.kind.value,
        "payload": dict(draft.payload),
        "seq": seq,
        "uid": uid,
        "version": draft.version,
    }
    return canonical(parts)


def canonical(value: object) -> str:
    """Write JSON with sorted keys and no spaces.

    Raises:
        TypeError: if a float is anywhere inside: masses and times are text.
    """
    _refuse_floats(value)
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def _refuse_floats(value: object) -> None:
    if isinstance(value, float):
        msg = f"Cannot record the float {value!r}: expected whole numbers and text only."
        raise TypeError(msg)
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list | tuple):
        for each in value:
            _refuse_floats(each)


def link(previous: str, text: str) -> str:
    """Give the SHA-256 of a fact's content followed by the hash of the bench's fact before it."""
    return hashlib.sha256(f"{text}{previous}".encode()).hexdigest()


def fits(fact: Fact, previous: str) -> bool:
    """Tell whether a fact's hash is right after the given one."""
    return fact.hash == link(previous, content(fact, fact.uid, fact.seq))


def derived_uid(draft: Draft, seq: int) -> str:
    """Give the uid of a replayed fact: from content, bench and sequence number alone."""
    digest = hashlib.sha256(content(draft, "", seq).encode()).hexdigest()
    return f"{digest[:8]}-{digest[8:12]}-{digest[12:16]}-{digest[16:20]}-{digest[20:32]}"


def derived_seed(content_text: str) -> str:
    """Give the seed of a replayed sample, from what it is of alone."""
    return hashlib.sha256(content_text.encode()).hexdigest()[:32]
