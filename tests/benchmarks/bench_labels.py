"""Draw 1,000 labels, beside bare ReportLab given the same strings and modules."""

import io
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from measuring import in_turn, report
from reportlab.pdfgen.canvas import Canvas

from shedstation.dayfolder.station_file import read_station_file
from shedstation.domain.box import Box, JobReason, JobState, LabelJob, TareBy
from shedstation.domain.label_fields import label_fields
from shedstation.domain.limits import Verdict
from shedstation.domain.mass import parse_mass
from shedstation.labels.barcode import QUIET_MODULES, code128_modules, dark_runs, gs1_modules
from shedstation.labels.render import (
    BOLD,
    REGULAR,
    fitted,
    module_pt,
    modules_of,
    register_fonts,
    render_labels,
)
from shedstation.labels.template import MM, read_template

LABELS = 1000
DPI = 203
SAMPLE = Path(__file__).parents[2] / "sample_shed_day"

Text = tuple[str, float, float, float, str]
Bars = tuple[float, float, float, float, str, str]


def jobs() -> list[LabelJob]:
    setup = read_station_file(SAMPLE / "station.toml")
    box = Box(
        serial="", lot="616901", load="L1", block="WR", cultivar="KENT", picked_on=date(2026, 6, 18),
        packed_on=date(2026, 6, 18), pack="Flat 25 lb", grade="1", gross=parse_mass("26.74 lb"),
        tare=parse_mass("1.64 lb"), tare_by=TareBy.STATION, net=parse_mass("25.10 lb"),
        net_on_label=parse_mass("25 lb"), verdict=Verdict.ON, override_reason=None, count=None,
    )  # fmt: skip
    made = []
    for number in range(LABELS):
        each = replace(box, serial=f"B1-{number:06d}", lot=f"{616901 + number % 20}")
        fields = label_fields(each, setup, revision=1, copy_no=0)
        made.append(
            LabelJob(
                job=f"{each.serial}.1",
                serial=each.serial,
                revision=1,
                copy_no=0,
                reason=JobReason.CLOSED,
                template="bench_4x2",
                fields=fields,
                state=JobState.QUEUED,
                at="",
            )
        )
    return made


def prepared(all_jobs: Sequence[LabelJob]) -> list[tuple[list[Text], list[Bars]]]:
    """Lay every label out beforehand: what is left is drawing alone."""
    layout = read_template("bench_4x2").layout
    height = layout.height_mm * MM
    pages = []
    for job in all_jobs:
        texts: list[Text] = []
        for item in layout.text:
            text = job.fields[item.field]
            if text:
                size, width, _ = fitted(item, item.before + text)
                x = item.x_mm * MM + (item.width_mm * MM - width if item.align == "right" else 0)
                font = BOLD if item.bold else REGULAR
                texts.append((font, size, x, height - item.y_mm * MM, item.before + text))
        bars: list[Bars] = []
        for code in layout.code:
            text = job.fields[code.field]
            module = module_pt(code, DPI)
            left = code.x_mm * MM + QUIET_MODULES * module
            low = height - (code.y_mm + code.height_mm) * MM
            bars.append((left, low, module, code.height_mm * MM, modules_of(code, text), text))
        pages.append((texts, bars))
    return pages


def bare(pages: Sequence[tuple[list[Text], list[Bars]]]) -> bytes:
    """Draw prepared labels with nothing but ReportLab."""
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1, pageCompression=1)
    for texts, bars in pages:
        canvas.setPageSize((101.6 * MM, 50.8 * MM))
        for font, size, x, y, text in texts:
            canvas.setFont(font, size)
            canvas.drawString(x, y, text)
        for left, low, module, high, modules, text in bars:
            path = canvas.beginPath()
            for start, width in dark_runs(modules):
                path.rect(left + start * module, low, width * module, high)
            canvas.drawPath(path, stroke=0, fill=1)
            canvas.setFont(REGULAR, 7)
            canvas.drawCentredString(left + len(modules) * module / 2, low - 7, text)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def main() -> None:
    register_fonts()
    all_jobs = jobs()
    pages = prepared(all_jobs)

    def fresh() -> bytes:
        code128_modules.cache_clear()
        gs1_modules.cache_clear()
        return render_labels(all_jobs, printer_dpi=DPI)

    mine, other = in_turn(fresh, lambda: bare(pages), 5)
    report("labels: 1,000 drawn from jobs and a template", mine, "s", "figure")
    report("labels: bare ReportLab, same strings and modules", other, "s", "figure")
    report("labels: ours beside bare ReportLab", mine / other, "times", "at most 1.3")


if __name__ == "__main__":
    main()
