"""Bytes to readings, beside the bare regular expression on whole frames."""

import re

from measuring import in_turn, report

from shedstation.devices.languages.decode import Decoder
from shedstation.devices.languages.rows import language

FRAMES = 50_000
DATA = b"ST,GS,+  25.42lb\r\n" * FRAMES
BARE = re.compile(rb"(ST|US),(GS|NT),([+-]) *(\d+)\.(\d+)(lb|kg)")


def ours() -> None:
    decoder = Decoder(language("status-comma"))
    decoder.feed(0.0, b"\r\n")
    read = sum(len(decoder.feed(0.0, DATA[at : at + 64])) for at in range(0, len(DATA), 64))
    assert read == FRAMES


def bare() -> None:
    read = 0
    for line in DATA.splitlines():
        found = BARE.fullmatch(line)
        assert found
        read += int(found.group(4) + found.group(5)) > 0
    assert read == FRAMES


def main() -> None:
    mine, other = in_turn(ours, bare, 5)
    report("parse: chunks of 64 bytes to readings", FRAMES / mine, "readings/s", "figure")
    report(
        "parse: the bare regular expression on whole frames", FRAMES / other, "frames/s", "figure"
    )
    report("parse: ours beside the bare expression", mine / other, "times", "figure")


if __name__ == "__main__":
    main()
