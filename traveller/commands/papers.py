"""Commands that make the papers of a unit."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json, write_file
from traveller.commands.unit import tag_argument, tell
from traveller.counting import many
from traveller.errors import InputError
from traveller.record.carriage import FIELDS, read_packed
from traveller.record.carriage_entries import PackedIn, Wood
from traveller.record.saying import said

if TYPE_CHECKING:
    from traveller.documents.page import Paper
    from traveller.record.report import Report
    from traveller.store.papers import Compared
    from traveller.store.workshop import Workshop

language_option = click.option("--language", default="en", show_default=True, help="Of the fixed words: en or de.")
paper_option = click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True)


@click.command()
@tag_argument
@click.option("--pdf", type=click.Path(path_type=Path, dir_okay=False), default=None, help="PDF file to write.")
@language_option
@paper_option
@as_json
@pass_caller
def report(caller: Caller, tag: str, pdf: Path | None, language: str, paper: Paper, as_json: bool) -> None:
    """The report of a unit: a short look at it, all its facts with --json, or the paper with --pdf."""
    with caller.workshop() as workshop:
        facts = workshop.papers.facts(tag)
        if pdf is not None:
            done = workshop.papers.report(tag, language, paper)
            write(pdf, done.data, done.missing)
    if as_json:
        say_json(facts.model_dump(mode="json"))
    elif pdf is None:
        _outline(facts)


def write(file: Path, pdf: bytes, missing: tuple[str, ...] = ()) -> None:
    """Write a paper, and name what could not be printed on it."""
    write_file(file, pdf)
    say(str(file))
    for one in missing:
        click.echo(f"{file.name}: □ stands for {one}, which the papers cannot print", err=True)


def _outline(facts: Report) -> None:
    plate = facts.plate
    say(f"{facts.identity}  {plate.kind.label} {plate.maker} {plate.model}, {plate.serial}, {facts.customer}")
    if facts.release is None:
        say(f"DRAFT: not released, kept here for {many(facts.still_open, 'reason')}")
    else:
        say(f"released {facts.issued} by {facts.release.by}: {facts.release.statement}")
        say(f"seal {facts.release.seal}")
    if facts.warranty:
        say(f"warranty until {facts.warranty.until} ({facts.warranty.working[0]})")
    counts = ((facts.parts, "part"), (facts.measurements, "measurement"), (facts.concessions, "concession"))
    say(", ".join(many(len(some), thing) for some, thing in counts))


def compare_paper(workshop: Workshop, file: Path) -> Compared:
    """Hold a report in a file against the record."""
    try:
        data = file.read_bytes()
    except OSError as error:
        raise InputError(f"{file} cannot be read ({error.strerror}): give the path of the report.") from None
    return workshop.papers.compare(file.name, data)


@click.command()
@tag_argument
@click.option("--scan", "scanned", required=True, metavar="TAG", help="The tag on the unit in hand.")
@click.option("--package", "packages", required=True, metavar="LxWxH KG", help='cm and kg; several: "a; b".')
@click.option("--packed-in", type=click.Choice(get_args(PackedIn)), default="foam and carton", show_default=True)
@click.option("--shielded/--not-shielded", required=True, help="In a closed static-shielding bag, whole and labelled?")
@click.option("--wood", type=click.Choice(get_args(Wood)), default="no raw wood", show_default=True, help="ISPM 15.")
@click.option("--to", "addressee", required=True, help='Up to ten lines, parted by ";".')
@click.option("--carrier", required=True)
@click.option("--consignment", required=True, help="Number on the carrier's label.")
@click.option("--customs", default="", metavar="LINES", help=f'Abroad: {FIELDS}; lines parted by ";".')
@click.option("--with", "instruments", multiple=True, metavar="TAG", help="The scale.")
@as_json
@pass_caller
def pack(caller: Caller, /, tag: str, as_json: bool, **typed: Any) -> None:
    """Pack a unit: what is typed here answers the checks of dispatch that ask the same."""
    with caller.workshop() as workshop:
        view = workshop.papers.pack(tag, caller.by, read_packed(typed), typed["instruments"])
        tell(view, as_json, f"packed; {said(view.unit.packed)}" if view.unit.packed else "packed")


@click.command()
@tag_argument
@click.option("--out", type=click.Path(path_type=Path, file_okay=False), required=True, help="Folder to write into.")
@language_option
@paper_option
@pass_caller
def papers(caller: Caller, tag: str, out: Path, language: str, paper: Paper) -> None:
    """Write every paper of a unit: report, warranty; once packed its packing list, customs lines, address labels."""
    with caller.workshop() as workshop:
        made = workshop.papers.all(tag, language, paper)
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"{out} cannot be made ({error.strerror}): name another folder.") from None
    for name, done in made.items():
        write(out / name, done.data, done.missing)
    if "packing-list.pdf" not in made:
        click.echo(f"{tag} is not packed, or was opened since: no packing list, no address label", err=True)


COMMANDS: list[click.Command] = [report, pack, papers]
