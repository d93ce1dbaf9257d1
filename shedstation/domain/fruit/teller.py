"""Tell the fruit of box after box on one scale, and learn on the way how it follows the load."""

from shedstation.domain.fruit.ledger import NO_LAG, FruitLedger
from shedstation.domain.fruit.response_learner import ResponseLearner
from shedstation.domain.fruit.step import FruitStep
from shedstation.domain.mass import Mass, Unit, zero


class FruitTeller:
    """The fruit in the open box of one scale."""

    def __init__(self, division: Mass) -> None:
        """Start without a box.

        Args:
            division: The scale's division; all masses must be whole divisions.
        """
        self._division = division
        self._learner = ResponseLearner(float(division.measured_in(Unit.G)))
        self._ledger: FruitLedger | None = None
        self._tare = zero(division.unit, division.decimals)
        self._begun_s = 0.0

    @property
    def has_box(self) -> bool:
        """Get whether a box is open."""
        return self._ledger is not None

    def wait(self, at_s: float, load: Mass) -> None:
        """Take in the load on the pan before a box is tared: how it comes to rest tells the response."""
        self._learner.hear(at_s, self._divisions(load))
        self._learner.work()

    def begin(self, at_s: float, tare: Mass | None) -> None:
        """Begin with a box that was empty at this second.

        Args:
            at_s: The second.
            tare: What the empty box weighs; none if it was not seen being put on.
        """
        if tare is not None:
            self._tare = tare
            self._learner.tared(at_s)
        self._ledger = FruitLedger(self._division, self._learner.response or NO_LAG)
        self._ledger.hear(at_s, zero(self._division.unit, self._division.decimals))
        self._begun_s = at_s

    def end(self) -> None:
        """Forget the box."""
        self._ledger = None

    def hear(self, at_s: float, net: Mass) -> None:
        """Take in the net weight of the open box, steady or moving."""
        assert self._ledger is not None  # noqa: S101  # a box is begun first
        if at_s <= self._begun_s:
            return  # The reading that the box was tared on: heard twice, it would upset the pace.
        self._learner.hear(at_s, self._divisions(self._tare + net))
        if self._learner.work() and self._learner.response is not None:
            self._ledger.follow(self._learner.response)
        self._ledger.hear(at_s, net)

    def _divisions(self, mass: Mass) -> float:
        return mass.with_decimals(self._division.decimals).count / self._division.count

    @property
    def steps(self) -> tuple[FruitStep, ...]:
        """Get the steps of the open box's weight up to where it rested last."""
        return () if self._ledger is None else self._ledger.steps()

    def close(self, net: Mass) -> tuple[FruitStep, ...] | None:
        """Give all steps of the box that closes at a net weight, which they sum to exactly.

        Returns:
            The steps; none if no box was begun, or the weight is no whole number of divisions.
        """
        if self._ledger is None or not net.is_multiple_of(self._division):
            return None
        return self._ledger.close(net)
