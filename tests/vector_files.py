"""Read the published and computed check vectors; each file's first line names its source."""

import csv
from pathlib import Path

FOLDER = Path(__file__).parent / "published" / "vectors"


def rows(name: str) -> list[dict[str, str]]:
    text = (FOLDER / f"{name}.csv").read_text(encoding="utf-8").splitlines()
    assert text[0].startswith("# source: ")
    return list(csv.DictReader(text[1:]))
