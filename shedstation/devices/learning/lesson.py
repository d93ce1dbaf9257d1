"""Hold what a person showed: loads, what the display said of each, and the bytes that came."""

from collections.abc import Sequence
from dataclasses import dataclass

from shedstation.devices.capture import Chunk
from shedstation.domain.mass import Mass, Unit


@dataclass(frozen=True, slots=True)
class Example:
    """One load."""

    shown: Mass | None
    """What the scale's own display showed; none where it showed no number, beyond its range."""

    chunks: tuple[Chunk, ...]
    """What came while it showed that, and only then."""

    before: tuple[Chunk, ...] = ()
    """What came before, while the pan was moving, up to `chunks`."""


@dataclass(frozen=True, slots=True)
class Lesson:
    """Everything that was shown."""

    examples: tuple[Example, ...]
    capacity: Mass | None = None
    """The heaviest load of the scale, if it is known; nothing far above it is believed."""

    @property
    def loads(self) -> tuple[Mass, ...]:
        """Get what the display showed of each load that it could weigh."""
        return tuple(each.shown for each in self.examples if each.shown is not None)

    @property
    def units(self) -> frozenset[Unit]:
        """Get the units the display showed."""
        return frozenset(load.unit for load in self.loads)


def bytes_of(chunks: Sequence[Chunk], most: int) -> bytes:
    """Give the last bytes of the chunks."""
    return b"".join(chunk.data for chunk in chunks)[-most:]
