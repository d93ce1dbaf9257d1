"""Balance a load: what came in is packed, culled, held, stands in cups, or is still to be packed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shedstation.domain.box import Box
from shedstation.domain.culls import Cull
from shedstation.domain.intake import Load, Share
from shedstation.domain.kept_cups import KeptCup
from shedstation.domain.mass import Mass, add_up


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldChange:
    """What went into a holding room, or came out of one when it was looked at again."""

    put_in: Share | None = None
    ready: Share | None = None
    cull: Share | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadBalance:
    """Where the fruit of a load are; received is the sum of all the others, in its own unit.

    A part is none if nothing is there; voided boxes are not packed.
    """

    received: Mass | None
    packed: Mass | None
    culled: Mass | None
    held: Mass | None
    in_cups: Mass | None
    rest: Mass | None
    """Still to be packed, as far as weights tell; none if the load was not weighed. Below nothing if
    more came out than was weighed in."""

    unweighed: int
    """Entries of culls and holding that give a count alone: the rest is less by what those weigh."""


def load_balance(
    load: Load,
    boxes: Iterable[Box],
    culls: Sequence[Cull],
    held: Sequence[HeldChange],
    cups: Iterable[KeptCup],
) -> LoadBalance:
    """Balance a load by what was recorded of it, at all benches."""
    culled_at_room = [each.cull for each in held if each.cull is not None]
    entries: list[Cull | Share] = [*culls, *culled_at_room]
    went_in = [each.put_in for each in held if each.put_in is not None]
    ready = [each.ready for each in held if each.ready is not None]
    came_out = [*ready, *culled_at_room]
    packed = add_up(box.net for box in boxes if not box.voided)
    culled = add_up(_weights(entries))
    kept = add_up([*_weights(went_in), *(-each for each in _weights(came_out))])
    in_cups = add_up(each.weight for each in cups)
    gone = [each for each in (packed, culled, kept, in_cups) if each is not None]
    weighed = load.weight
    return LoadBalance(
        received=weighed,
        packed=packed,
        culled=culled,
        held=kept,
        in_cups=in_cups,
        rest=None if weighed is None else add_up([weighed, *(-each for each in gone)]),
        unweighed=sum(each.weight is None for each in [*entries, *went_in, *ready]),
    )


def _weights(entries: Sequence[Cull | Share]) -> list[Mass]:
    return [each.weight for each in entries if each.weight is not None]
