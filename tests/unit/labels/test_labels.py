"""Templates, drawing, spools."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from driving import Driver
from readback import codes_on_pages, text_of_pages

from shedstation import resources
from shedstation.domain.box import JobReason, JobState, LabelJob
from shedstation.domain.errors import WorldFault
from shedstation.domain.farm import NetOnLabel, Setup
from shedstation.domain.label_fields import FIELDS
from shedstation.domain.mass import Mass, parse_mass
from shedstation.labels.check import CAPITAL_SHARE, check_template
from shedstation.labels.picture import picture
from shedstation.labels.render import render_labels
from shedstation.labels.spool import FolderSpool
from shedstation.labels.template import REQUIRED, read_template
from shedstation.station.actions import CloseBox, TareBox
from shedstation.words import Words

TEMPLATES = resources.label_template_names()


@pytest.fixture
def job(bench: Driver) -> LabelJob:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.ask(TareBox)
    bench.shows("26.74")
    bench.ask(CloseBox)
    bench.station.print_next(bench.now)
    return bench.spool.taken[0]


@pytest.mark.parametrize("name", TEMPLATES)
def test_that_a_shipped_template_serves_the_sample_farm(sample_setup: Setup, name: str) -> None:
    assert check_template(replace(sample_setup, label_template=name)) == []


@pytest.mark.parametrize("name", TEMPLATES)
def test_that_the_net_weight_stands_clear_by_its_own_height(name: str) -> None:
    # source: state copy of the model packaging regulation (Arkansas 27.0643)
    layout = read_template(name).layout
    net = next(item for item in layout.text if item.field == "net")
    height = net.size_pt * CAPITAL_SHARE / 72 * 25.4
    top = net.y_mm - height
    for item in layout.text:
        if item is net:
            continue
        item_top = item.y_mm - item.size_pt * CAPITAL_SHARE / 72 * 25.4
        clear = item.y_mm <= top - height + 0.05 or item_top >= net.y_mm + height - 0.05
        assert clear, item.field


def test_that_a_gs1_code_is_wide_enough_for_general_distribution() -> None:
    # source: GS1 General Specifications: X from 0.495 to 1.016 mm; 4 dots of 203 dpi are 0.5005 mm
    for name in TEMPLATES:
        codes = [code for code in read_template(name).layout.code if code.kind == "gs1-128"]
        assert all(0.495 <= code.x_dots_203 * 25.4 / 203 <= 1.016 for code in codes)


@pytest.mark.parametrize("name", TEMPLATES)
@pytest.mark.parametrize("dpi", [203, 300, 600])
def test_that_both_codes_are_read_back_at_the_heads_resolution(
    job: LabelJob, name: str, dpi: int
) -> None:
    pdf = render_labels([replace(job, template=name)], printer_dpi=dpi)
    assert codes_on_pages(pdf, dpi) == [
        {("]C0", "B1-000001"), ("]C1", "(01)19521234000010(10)616901")}
    ]


def test_that_all_required_words_are_on_the_label(job: LabelJob) -> None:
    (text,) = text_of_pages(render_labels([job], printer_dpi=203))
    for name in REQUIRED:
        assert job.fields[name] in text, name


def test_that_a_copy_says_so(job: LabelJob) -> None:
    again = replace(job, copy_no=1, fields={**job.fields, "copy": "COPY 1"})
    assert "COPY 1" in text_of_pages(render_labels([again], printer_dpi=203))[0]


def test_that_the_same_jobs_give_the_same_bytes(job: LabelJob) -> None:
    assert render_labels([job, job], printer_dpi=203) == render_labels([job, job], printer_dpi=203)


def test_that_a_farm_without_gtin_has_only_the_serials_code(job: LabelJob) -> None:
    bare = replace(job, fields={**job.fields, "gs1_text": ""})
    assert codes_on_pages(render_labels([bare], printer_dpi=203), 203) == [{("]C0", "B1-000001")}]


def test_that_names_too_long_for_the_label_are_told_at_set_up(sample_setup: Setup) -> None:
    long = replace(sample_setup.cultivars[0], name="A cultivar with a very long name indeed")
    found = check_template(replace(sample_setup, cultivars=(long,)))
    assert [each.name for each in found] == ["labels.text_too_wide"]


def test_that_small_letters_for_a_large_panel_are_told_at_set_up(sample_setup: Setup) -> None:
    box = replace(sample_setup.boxes[0], panel_in=("16", "7"))
    found = check_template(replace(sample_setup, boxes=(box, sample_setup.boxes[1])))
    assert [each.name for each in found] == ["labels.letters_small"]


def broken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    monkeypatch.setattr(resources, "label_template", lambda name: tmp_path / f"{name}.toml")


@pytest.mark.parametrize("field", REQUIRED)
def test_that_a_template_that_lacks_an_item_is_refused_at_set_up(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, field: str
) -> None:
    whole = resources.label_template("bench_4x2").read_text(encoding="utf-8")
    items = re.split(r"(?=^\[\[)", whole, flags=re.MULTILINE)
    kept = [item for item in items if f'field = "{field}"' not in item]
    assert len(kept) == len(items) - 1
    broken(tmp_path, monkeypatch, "".join(kept))
    with pytest.raises(WorldFault) as raised:
        read_template("mine")
    assert f"{field}: missing" in Words("en").say(raised.value.message)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "width_mm = 'wide'",
        "not toml at all [",
        "width_mm = 100\nheight_mm = 50\ntext = []\ncode = []",
    ],
)
def test_that_a_broken_template_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str
) -> None:
    broken(tmp_path, monkeypatch, text)
    with pytest.raises(WorldFault, match=r"labels\."):
        read_template("mine")


def test_that_the_folder_spool_writes_a_whole_file(job: LabelJob, tmp_path: Path) -> None:
    FolderSpool(tmp_path / "labels", printer_dpi=203).hand_over(job)
    assert [path.name for path in (tmp_path / "labels").iterdir()] == ["B1-000001.1.pdf"]


def test_that_a_spool_folder_that_cannot_be_written_is_told(job: LabelJob, tmp_path: Path) -> None:
    (tmp_path / "labels").write_text("in the way")
    with pytest.raises(WorldFault, match="cannot_spool"):
        FolderSpool(tmp_path / "labels", printer_dpi=203).hand_over(job)


def test_that_the_printers_picture_is_dot_for_dot(job: LabelJob) -> None:
    grey, width, height, width_mm, height_mm = picture(job, printer_dpi=203)
    assert (len(grey), width, height) == (width * height, 812, 406)
    assert (width_mm, height_mm) == (101.6, 50.8)
    assert 0 in grey


def test_that_every_printable_field_has_a_title_and_a_sample() -> None:
    assert all(field.title and field.sample for field in FIELDS)
    assert len({field.name for field in FIELDS}) == len(FIELDS)
    assert JobReason.CLOSED.value == "closed"
    assert JobState.SENT.value == "sent"


@pytest.mark.parametrize("net", ["25 lb 4.8 oz", "11.440 kg", "25.30 lb", "11440 g"])
def test_that_an_actual_weight_fits_in_letters_of_full_height(
    sample_setup: Setup, net: str
) -> None:
    heaviest = parse_mass(net)
    bench = replace(
        sample_setup.benches[0],
        unit=heaviest.unit,
        division=Mass(1, heaviest.decimals, heaviest.unit),
    )
    pack = replace(
        sample_setup.packs[0],
        target=heaviest,
        under=Mass(0, 0, heaviest.unit),
        over=Mass(0, 0, heaviest.unit),
        net_on_label=NetOnLabel.ACTUAL,
        label_net=heaviest,
    )
    assert check_template(replace(sample_setup, benches=(bench,), packs=(pack,))) == []


def test_that_letters_the_label_cannot_draw_are_told_at_set_up(sample_setup: Setup) -> None:
    foreign = replace(sample_setup.cultivars[0], name="Манго")
    found = check_template(replace(sample_setup, cultivars=(foreign,)))
    assert {each.name for each in found} == {"labels.no_letters"}
