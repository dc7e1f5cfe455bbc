"""Commands for the work list of a unit."""

from __future__ import annotations

from typing import Any

import click

from traveller.commands.root import Caller, as_json, key_and_value, pass_caller, say, say_json
from traveller.commands.unit import tag_argument, tell
from traveller.record.acts.work import references_in
from traveller.record.places import expanded
from traveller.record.worklist import progress


@click.group()
def work() -> None:
    """The work list of a unit: worked out, planned, fitted, verified, rejected, struck."""


@work.command("list")
@tag_argument
@pass_caller
def list_lines(caller: Caller, tag: str) -> None:
    """Every line with its state, and what is left."""
    with caller.workshop() as workshop:
        unit = workshop.unit(tag).unit
    for line in unit.work.values():
        done = f" {line.fitted} {line.lot} by {line.fitted_by}" if line.fitted else ""
        why = line.because or line.reason
        say(f"{line.state.sign} {line.reference:8} {line.says:9} {line.part} ({why}){done} {line.remark}".rstrip())
    say(progress(unit.work, "verified"))


@work.command("plan")
@tag_argument
@click.argument("references")
@click.argument("part")
@click.option("--reason", type=click.Choice(["failed", "matched set", "aged", "other"]), default="failed")
@click.option("--set", "matched_set", default="", help="Name of the matched set, for example power stage.")
@click.option("--siblings", default="", help="The other members of the set: they are replaced with it.")
@as_json
@pass_caller
def plan(
    caller: Caller,
    tag: str,
    references: str,
    part: str,
    reason: Any,
    matched_set: str,
    siblings: str,
    as_json: bool,
) -> None:
    """Plan REFERENCES (Q3 or C1,C2) of a PART ("IGBT module") for replacement."""
    with caller.workshop() as workshop:
        view = workshop.plan_work(
            tag, caller.by, references_in(references), part, reason, matched_set, references_in(siblings)
        )
        tell(view, as_json, progress(view.unit.work))


@work.command("out")
@tag_argument
@click.option("--failed", default="", help="Parts that failed, for example Q3,C17.")
@click.option("--look", is_flag=True, help="Only say what would be planned.")
@as_json
@pass_caller
def work_out(caller: Caller, tag: str, failed: str, look: bool, as_json: bool) -> None:
    """Work the list out: what failed, the rest of its matched sets, what ages, the driver checks."""
    named = references_in(failed)
    with caller.workshop() as workshop:
        lines = workshop.parts.worked_out(tag, named)
        unit = workshop.unit(tag).unit if look else workshop.parts.work_out(tag, caller.by, named).unit
    if as_json:
        say_json({"planned": not look, "lines": [vars(line) for line in lines], "progress": progress(unit.work)})
        return
    for line in lines:
        say(f"{line.reference:10} {line.action:8} {line.part:32} {line.because}")
    say(f"{len(lines)} lines would be planned" if look else progress(unit.work))


@work.command("fit")
@tag_argument
@click.argument("reference")
@click.argument("part")
@click.option("--lot", default="", help="Lot or date code.")
@click.option("--offered", metavar="FIGURE=VALUE", multiple=True, help="A figure of a substitute: voltage=450.")
@click.option("--anyway", default="", help="Why a weaker or damp part is fitted all the same; a lead concedes it.")
@as_json
@pass_caller
def fit(
    caller: Caller, tag: str, reference: str, part: str, lot: str, offered: tuple[str, ...], anyway: str, as_json: bool
) -> None:
    """PART is in at REFERENCE; for a line to check, PART is what was found."""
    figures = dict(key_and_value(one) for one in offered)
    with caller.workshop() as workshop:
        view = workshop.fit(tag, reference, caller.by, part, lot, figures, anyway)
        finding = view.unit.work[reference.strip().upper()].finding
        compared = f"; against the original: {finding.verdict}, {finding.says}" if finding else ""
        tell(view, as_json, f"{progress(view.unit.work)}{compared}")


@work.command("verify")
@tag_argument
@click.argument("references")
@as_json
@pass_caller
def verify(caller: Caller, tag: str, references: str, as_json: bool) -> None:
    """Seen and right, by somebody who did not fit it."""
    with caller.workshop() as workshop:
        for reference in expanded(references):
            view = workshop.verify_work(tag, reference, caller.by)
        tell(view, as_json, progress(view.unit.work, "verified"))


@work.command("reject")
@tag_argument
@click.argument("reference")
@click.argument("why")
@as_json
@pass_caller
def reject(caller: Caller, tag: str, reference: str, why: str, as_json: bool) -> None:
    """Seen and not right: the line is planned again."""
    with caller.workshop() as workshop:
        view = workshop.reject_work(tag, reference, caller.by, why)
        tell(view, as_json, progress(view.unit.work))


@work.command("strike")
@tag_argument
@click.argument("reference")
@click.argument("why")
@as_json
@pass_caller
def strike(caller: Caller, tag: str, reference: str, why: str, as_json: bool) -> None:
    """The part is not replaced, and why (shift lead)."""
    with caller.workshop() as workshop:
        view = workshop.strike_work(tag, reference, caller.by, why)
        tell(view, as_json, progress(view.unit.work))


COMMANDS: list[click.Command] = [work]
