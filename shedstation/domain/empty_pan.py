"""Watch whether the empty pan stood at zero before a box was put on it."""

from shedstation.domain.reading import LineBack, LineLost, Mode, Reading, ScaleEvent, State


class EmptyPan:
    """Whether the scale showed zero since a box was last weighed, so that it shows the whole of the next.

    Below zero it hides something: a key was pressed under a load. After a break nobody knows.
    """

    def __init__(self) -> None:
        """Start before anything was seen."""
        self.was_zero = False

    def hear(self, event: ScaleEvent) -> None:
        """Take in what came from the scale."""
        match event:
            case LineLost() | LineBack():
                self.was_zero = False
            case Reading():
                self._hear(event)

    def _hear(self, reading: Reading) -> None:
        if reading.mass is None:
            return
        if reading.mass.count < 0 or reading.mode is Mode.NET:
            self.was_zero = False
        elif reading.mass.count == 0 and reading.state is State.STEADY:
            self.was_zero = True

    def box_weighed(self) -> None:
        """Ask for an empty pan again before the next box."""
        self.was_zero = False
