"""Offer the station's work on the command line."""

import importlib
import json
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from functools import wraps
from pathlib import Path
from types import ModuleType
from typing import Any, Final, TypeVar, cast

import click
import platformdirs
from rich.console import Console
from rich.progress import Progress

from shedstation import __version__
from shedstation.bootstrap import finding, headless
from shedstation.bootstrap.fruit_capture import box_of_capture, box_said
from shedstation.bootstrap.practice import practice_setup, run_practice_scale
from shedstation.bootstrap.teaching import LEARNED, known_languages
from shedstation.dayfolder.findings import BadFile
from shedstation.devices.languages.language import Language
from shedstation.devices.practice.sending import Sending
from shedstation.devices.practice.voices.table import VOICES
from shedstation.domain.errors import Refused, WorldFault
from shedstation.domain.mass import Mass, Unit, parse_mass
from shedstation.domain.message import Message
from shedstation.domain.scale_found import Found
from shedstation.domain.size_codes import SizeStandard
from shedstation.presenters.scale_found import presented
from shedstation.words import Words

WORLD_AT_FAULT: Final = 1

F = TypeVar("F", bound=Callable[..., Any])


def named_folder(given: Path | None) -> Path | None:
    """Give the data folder that was named after the command or before it, if any was."""
    context = click.get_current_context(silent=True)
    return given or (None if context is None else context.find_root().params.get("data"))


def data_folder(given: Path | None) -> Path:
    """Give the data folder: the one named, or the platform's own place for user data."""
    return named_folder(given) or Path(platformdirs.user_data_dir("shedstation", appauthor=False))


def _say(text: str) -> None:
    click.echo(text)


def _fail(lines: list[str]) -> None:
    for line in lines:
        click.echo(line, err=True)
    sys.exit(WORLD_AT_FAULT)


@contextmanager
def told(words: Words) -> Iterator[None]:
    """Tell the world's faults in sentences, a file's findings one a line, and exit with 1."""
    try:
        yield
    except BadFile as bad:
        lines = [f"{each.file}:{each.line}: {words.say(each.message)}" for each in bad.findings]
        _fail([*lines, words.say(bad.message)])
    except (WorldFault, Refused) as fault:
        _fail([words.say(fault.message)])


def _desktop(part: str = "desktop") -> ModuleType:
    """Load the desktop only when it is asked for: the rest works where Qt cannot."""
    return importlib.import_module(f"shedstation.bootstrap.{part}")


def _english() -> Words:
    return Words("en")


def telling(command: F) -> F:
    """Run a command so that the world's faults end it with a sentence."""

    @wraps(command)
    def run(*args: object, **kwargs: object) -> object:
        with told(_english()):
            return command(*args, **kwargs)

    return cast("F", run)


DATA = click.option(
    "--data", type=click.Path(path_type=Path, file_okay=False), help="Data folder to use."
)
OUT = click.option(
    "--out",
    required=True,
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for what is written.",
)
AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON.")
FILE = click.Path(path_type=Path, exists=True, dir_okay=False)


@click.group(invoke_without_command=True)
@click.version_option(__version__)
@DATA
@click.pass_context
@telling
def cli(context: click.Context, data: Path | None) -> None:
    """Weigh, check, grade, label and record boxes of mangoes; alone: open the station."""
    if context.invoked_subcommand is None:
        sys.exit(_desktop().run_station(data_folder(data)))


MODE = click.option(
    "--mode",
    type=click.Choice([each.value for each in Sending]),
    default=Sending.STREAM.value,
    show_default=True,
    help="When the practice scale sends.",
)


@cli.command()
@DATA
@MODE
@telling
def sample(data: Path | None, mode: str) -> None:
    """Open the station on the sample day, with a practice scale."""
    folder = named_folder(data) or data_folder(None).with_name("shedstation-sample")
    sys.exit(_desktop().run_sample(folder, Sending(mode)))


@cli.command()
@click.argument("folder", type=click.Path(path_type=Path))
@OUT
@DATA
@click.option("--fruit", "tells_fruit", is_flag=True, help="Tell the fruit of every box.")
@AS_JSON
@telling
def day(folder: Path, out: Path, data: Path | None, *, tells_fruit: bool, as_json: bool) -> None:
    """Carry out a whole day from its FOLDER without a screen."""
    console = Console(stderr=True)
    with Progress(console=console, transient=True, disable=not console.is_terminal) as progress:
        task = progress.add_task(folder.name, total=None)
        done = headless.run_day(
            folder,
            out,
            named_folder(data),
            lambda at_s: progress.update(task, description=f"{at_s:.0f} s"),
            tells_fruit=tells_fruit,
        )
    if as_json:
        _say(json.dumps(done, ensure_ascii=False))
    else:
        _say(_english().text("cli.day_done", **done))


@cli.command()
@click.argument("date", type=click.DateTime(["%Y-%m-%d"]))
@OUT
@DATA
@telling
def record(date: datetime, out: Path, data: Path | None) -> None:
    """Write the record of DATE, a day already in the data."""
    for path in headless.write_day_record(data_folder(data), date.date(), out):
        _say(str(path))


@cli.command()
@click.argument("capture", type=FILE)
@click.option(
    "--language",
    default="auto",
    show_default=True,
    help="The scale's language, or the file of a learned one.",
)
@click.option(
    "--standard",
    type=click.Choice([each.value for each in SizeStandard]),
    default=SizeStandard.CODEX.value,
    show_default=True,
    help="Whose size codes are meant.",
)
@click.option(
    "--division", help="The scale's division, such as `0.01 lb`; else as its weights show."
)
@DATA
@AS_JSON
@telling
def fruit(
    capture: Path,
    language: str,
    standard: str,
    division: str | None,
    data: Path | None,
    *,
    as_json: bool,
) -> None:
    """Tell the fruit of one box from a CAPTURE that begins with an empty pan."""
    by = SizeStandard(standard)
    box = box_of_capture(capture, language, data_folder(data), by, _division(division))
    if as_json:
        _say(json.dumps(box, ensure_ascii=False))
        return
    words = _english()
    for step in box["steps"]:
        _say(_step_text(step))
    for message in box_said(box):
        _say(words.say(message))


def _division(text: str | None) -> Mass | None:
    try:
        division = None if text is None else parse_mass(text)
    except ValueError as wrong:
        raise click.BadParameter(str(wrong)) from None
    if division is not None and division.count <= 0:
        msg = f"{text} is no division: expected a weight above zero, such as 0.01 lb."
        raise click.BadParameter(msg)
    return division


def _step_text(step: dict[str, Any]) -> str:
    known = "not sure" if step["fruit"] is None else f"{step['fruit']} fruit"
    return f"{step['at_s']:>10} s  {step['change']:>12}  {step['kind']:<7}  {known}"


@cli.command()
@click.argument("code")
@DATA
@AS_JSON
@telling
def trace(code: str, data: Path | None, *, as_json: bool) -> None:
    """Tell where a lot, serial or scanned CODE came from and where it went."""
    found = headless.trace_code(data_folder(data), code)
    _say(json.dumps(found, ensure_ascii=False, indent=None if as_json else 1))


@cli.command()
@DATA
@AS_JSON
@telling
def check(data: Path | None, *, as_json: bool) -> None:
    """Check whether the data is whole and whether anything waits for a person."""
    words = _english()
    report = headless.check_data(data_folder(data))
    found = {
        "whole": not report.damage,
        "facts": report.facts,
        "boxes": report.boxes,
        "heads": report.heads,
        "damage": [words.say(each) for each in report.damage],
        "waiting": [words.say(each) for each in report.waiting],
    }
    if as_json:
        _say(json.dumps(found, ensure_ascii=False))
    else:
        name = "cli.whole" if found["whole"] else "cli.damaged"
        _say(words.text(name, facts=report.facts, boxes=report.boxes))
        for message in (*report.damage, *report.waiting):
            _say(words.say(message))
    sys.exit(0 if report.is_clear else WORLD_AT_FAULT)


@cli.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--data",
    required=True,
    type=click.Path(path_type=Path, file_okay=False),
    help="New or empty data folder.",
)
@telling
def restore(file: Path, data: Path) -> None:
    """Restore a backup FILE into an empty data folder."""
    facts = headless.restore_backup(file, data)
    _say(_english().text("cli.restored", facts=facts, folder=str(data)))


@cli.command(hidden=True)
@OUT
@telling
def screenshots(out: Path) -> None:
    """Take pictures of every screen."""
    sys.exit(_desktop("pictures").take_screenshots(out))


@cli.group()
def scale() -> None:
    """Work with bench scales."""


@scale.command()
@click.argument("capture", type=FILE)
@click.option(
    "--profile",
    default="auto",
    show_default=True,
    help="The scale's language, or the file of a learned one.",
)
@DATA
@AS_JSON
@telling
def decode(capture: Path, profile: str, data: Path | None, *, as_json: bool) -> None:
    """Read a CAPTURE: one reading or bad frame a line."""
    good = 0
    for row in headless.decoded(capture, profile, data_folder(data)):
        good += "bad" not in row
        _say(json.dumps(row, ensure_ascii=False) if as_json else _row_text(row))
    if not good:
        raise WorldFault(Message("scale.nothing_read", {"file": str(capture)}))


@scale.command()
@click.argument("where", metavar="[PORT_OR_CAPTURE]", required=False)
@click.option("--ask", is_flag=True, help="Also ask for a reading where nothing comes by itself.")
@DATA
@AS_JSON
@telling
def find(where: str | None, data: Path | None, *, ask: bool, as_json: bool) -> None:
    """Find out what the scale at a port speaks; alone: list the ports that exist."""
    if where is None:
        _list_ports(as_json=as_json)
        return
    languages = known_languages(data_folder(data) / LEARNED)
    found = _search(where, languages, ask=ask)
    words = _english()
    why, tries = ([words.say(each) for each in said] for said in (found.why, found.to_try))
    if as_json:
        row = {**finding.found_row(found), "why": why, "try": tries}
        _say(json.dumps(row, ensure_ascii=False))
    else:
        _say("\n  ".join([words.say(presented(found)), *why, *tries]))
    sys.exit(0 if found.language else WORLD_AT_FAULT)


def _search(where: str, languages: Sequence[Language], *, ask: bool) -> Found:
    """Search with its progress in sight; what the person must do is always said."""
    words, last = _english(), ""
    console = Console(stderr=True)
    with Progress(console=console, transient=True, disable=not console.is_terminal) as progress:
        task = progress.add_task("", total=1.0)
        for step in finding.find_scale(where, ask=ask, languages=languages):
            if isinstance(step, Found):
                return step
            said = words.say(step.say)
            progress.update(task, description=said, completed=step.done)
            if step.needs_a_hand and said != last:
                last = said
                click.echo(said, err=True)
    msg = "A search ended without a finding."
    raise AssertionError(msg)


def _list_ports(*, as_json: bool) -> None:
    words = _english()
    rows = [(each.identity, words.say(each.title)) for each in finding.ports_there()]
    if as_json:
        _say(json.dumps([{"port": port, "title": title} for port, title in rows]))
    for port, title in () if as_json else rows:
        _say(f"{port}  {title}")
    if not rows and not as_json:
        _say(words.text("find.no_ports"))


def _row_text(row: dict[str, object]) -> str:
    if "bad" in row:
        return f"{row['at_s']:>10} s  bad frame {row['bad']!r}: {row['why']}"
    return f"{row['at_s']:>10} s  {row['mass']!s:>14}  {row['state']}  {row['mode']}"


@scale.command()
@click.option(
    "--language",
    type=click.Choice([each.name for each in VOICES]),
    default="status-comma",
    show_default=True,
    help="What it speaks, and how.",
)
@MODE
@click.option(
    "--unit",
    type=click.Choice([each.value for each in Unit]),
    help="What it shows; without, the first unit it can.",
)
@click.option("--port", default=0, help="TCP port on loopback; 0 takes a free one.")
@telling
def practice(language: str, mode: str, unit: str | None, port: int) -> None:
    """Start a simulated bench scale to connect to; keys put boxes and fruit on it."""
    setup = practice_setup(language, None if unit is None else Unit(unit), Sending(mode))
    run_practice_scale(setup, port, _say)
