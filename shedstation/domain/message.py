"""Name what is to be said; the words module says it in the person's language."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Message:
    """The name of a sentence and the values that stand in it."""

    name: str
    """Key in the catalogues, for example `bench.add`."""

    values: Mapping[str, object] = field(default_factory=dict)
    """Values by name: text, whole numbers, dates, masses or further messages."""

    def __str__(self) -> str:
        """Give name and values for logs and tests."""
        inner = ", ".join(f"{key}={value}" for key, value in self.values.items())
        return f"{self.name}({inner})"
