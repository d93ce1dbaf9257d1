"""Read temperatures and shares as people write them: `60 F`, `15.6 C`, `85 %`."""

import re
from fractions import Fraction
from typing import Final

_TEMPERATURE: Final = re.compile(r"(-?\d{1,3}(?:\.\d{1,2})?) ([FC])", re.ASCII)
_PERCENT: Final = re.compile(r"(\d{1,3}(?:\.\d{1,4})?) %", re.ASCII)
_FREEZING_F: Final = 32


def celsius(text: str) -> Fraction:
    """Give a temperature in degrees Celsius, exactly: C = (F - 32) x 5/9.

    Raises:
        ValueError: if the text is not a temperature.
    """
    found = _TEMPERATURE.fullmatch(text)
    if found is None:
        msg = f"{text!r} is not a temperature: expected a number and F or C, such as 60 F."
        raise ValueError(msg)
    degrees = Fraction(found.group(1))
    return degrees if found.group(2) == "C" else (degrees - _FREEZING_F) * Fraction(5, 9)


def share(text: str) -> Fraction:
    """Give a share that is written in percent, exactly, from 0 to 1.

    Raises:
        ValueError: if the text is not a percentage up to 100.
    """
    found = _PERCENT.fullmatch(text)
    if found is None or Fraction(found.group(1)) > 100:  # noqa: PLR2004  # percent
        msg = f"{text!r} is not a share: expected a number up to 100 and %, such as 2.5 %."
        raise ValueError(msg)
    return Fraction(found.group(1)) / 100
