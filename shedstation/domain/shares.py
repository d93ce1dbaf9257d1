"""Give a share of things counted, and between what limits it may lie by chance."""

from dataclasses import dataclass
from fractions import Fraction
from math import sqrt
from statistics import NormalDist
from typing import Final

from shedstation.domain.message import Message

SURE: Final = 0.95
"""How sure an interval is, unless another level is asked for (common practice, no published source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """A share of things counted, with its interval; all from 0 to 1."""

    share: Fraction
    least: float
    most: float

    def say(self) -> Message:
        """Say share and interval in whole percent."""
        percent = {
            "share": round(100 * self.share),
            "least": round(100 * self.least),
            "most": round(100 * self.most),
        }
        return Message("export.share", percent)


def share_of(found: int, of: int, level: float = SURE) -> Share:
    """Give the share of `found` among `of`, with its score interval without continuity correction.

    The interval is that of E. B. Wilson (Journal of the American Statistical Association 22, 1927): the
    shares p from which `found` lies no farther than z * sqrt(p * (1 - p) / of) away.

    Args:
        found: How many have the mark, none to all.
        of: How many were looked at, at least one.
        level: How sure the interval is, between 0 and 1.

    Raises:
        ValueError: if no such share can be given.
    """
    if not 0 <= found <= of or of == 0:
        msg = f"A share of {found} in {of}: expected 0 to {of} of at least 1; count them again."
        raise ValueError(msg)
    z = NormalDist().inv_cdf((1 + level) / 2)
    share = found / of
    middle = (share + z * z / (2 * of)) / (1 + z * z / of)
    half = z / (1 + z * z / of) * sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    # At none and at all the limit is the share itself, which rounding must not cross.
    least, most = min(middle - half, share), max(middle + half, share)
    return Share(share=Fraction(found, of), least=max(least, 0.0), most=min(most, 1.0))
