"""Turn text into the dark and light modules of a Code 128 symbol.

Source of the symbology's rules as used here: ISO/IEC 15417 through python-barcode; quiet zones of 10 X
and FNC1 in first place for GS1-128 after the GS1 General Specifications.
"""

from functools import lru_cache
from itertools import groupby
from typing import Final

from barcode.codex import Code128, Gs1_128

from shedstation.domain import gs1

QUIET_MODULES: Final = 10


@lru_cache(maxsize=4096)
def code128_modules(text: str) -> str:
    """Give a Code 128 symbol as ones (dark) and zeros, quiet zones left out."""
    return str(Code128(text).build()[0])


@lru_cache(maxsize=4096)
def gs1_modules(bracketed: str) -> str:
    """Give a GS1-128 symbol of bracketed element strings as ones and zeros.

    Raises:
        BadElements: if the elements do not fit one symbol.
    """
    elements = gs1.parse_bracketed(bracketed)
    gs1.check_symbol(elements)
    # python-barcode writes FNC1 as character 241 and puts the first one itself.
    text = gs1.raw(elements).replace(gs1.FNC1, Gs1_128.FNC1_CHAR)
    return str(Gs1_128(text).build()[0])


def dark_runs(modules: str) -> list[tuple[int, int]]:
    """Give the bars as start and width in modules."""
    runs, start = [], 0
    for dark, group in groupby(modules):
        width = sum(1 for _ in group)
        if dark == "1":
            runs.append((start, width))
        start += width
    return runs
