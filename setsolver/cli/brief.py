"""``setsolver brief``: the briefs that come with it, a new one to edit, and a check with line numbers."""

from __future__ import annotations

from pathlib import Path

import click

from setsolver.cli.said import echo_json, printable, table
from setsolver.domain.brief import Brief
from setsolver.domain.slot import Slot
from setsolver.usecases.briefs import brief_names, brief_schema, brief_text, load_brief, new_brief

__all__ = ["command"]

ORDER = 120

as_json_option = click.option("--json", "as_json", is_flag=True, help="Print a JSON document only.")


@click.group("brief", short_help="List, show, start and check briefs.")
def command() -> None:
    """List, show, start and check briefs: TOML files that say what set is wanted.

    \b
    Example:
      setsolver brief new hall-three --like wall-three
      setsolver brief check hall-three.toml
    """


@command.command("list", short_help="List the briefs that come with setsolver.")
@as_json_option
def list_(as_json: bool) -> None:
    """List the briefs that come with setsolver."""
    briefs = [load_brief(name) for name in brief_names()]
    if as_json:
        entries = [
            {"name": brief.name, "size": brief.size, "says": brief.says, "album": brief.album is not None}
            for brief in briefs
        ]
        echo_json({"format": "setsolver/briefs", "version": 1, "briefs": entries})
        return
    click.echo(table([(brief.name, brief.says) for brief in briefs], indent=""))


@command.command("show", short_help="Print a brief.")
@click.argument("brief", default="wall-three")
@click.option("--schema", is_flag=True, help="Print the JSON Schema of all briefs instead.")
@as_json_option
def show(brief: str, schema: bool, as_json: bool) -> None:
    """Print BRIEF, a name or a file: as written, or with --json as understood, all defaults filled in."""
    if schema:
        echo_json(brief_schema())
    elif as_json:
        echo_json(_document(load_brief(brief)))
    else:
        click.echo(brief_text(brief), nl=False)


@command.command("new", short_help="Write a brief to edit.")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--like", default="wall-three", show_default=True, help="The brief to start from, a name or a file.")
def new(file: Path, like: str) -> None:
    """Write a commented brief to FILE (.toml is added) to edit; a file that exists is never overwritten."""
    path = new_brief(file, like)
    click.echo(f"{printable(str(path))}: a copy of {printable(like)}; edit it, then `setsolver brief check` it")


@command.command("check", short_help="Check a brief line by line.")
@click.argument("brief")
@as_json_option
def check(brief: str, as_json: bool) -> None:
    """Check BRIEF, a name or a file: says every fault with its line and what is allowed; exit code 2 then."""
    checked = load_brief(brief)
    if as_json:
        echo_json(_document(checked))
        return
    click.echo(f"{printable(brief)} holds: {_in_words(checked)}")


def _document(brief: Brief) -> dict[str, object]:
    return {"format": "setsolver/brief", "version": 1, "brief": brief.model_dump(mode="json")}


def _in_words(brief: Brief) -> str:
    if brief.album is not None:
        wish = brief.album
        least, most = wish.spreads
        spreads = f"{least}" if least == most else f"{least} to {most}"
        page = f"pages of {wish.page_cm[0]:g} by {wish.page_cm[1]:g} cm"
        return f"an album of {spreads} spreads, {wish.density[0]:g} to {wish.density[1]:g} pictures each, {page}"
    slots = brief.slots if brief.roles or brief.slot else ()
    roles = ", ".join(f"{_bounds(slot)} {slot.name}" for slot in slots)
    if brief.slot:
        prints = "; ".join(f"{slot.name} {slot.aspect} of {slot.print_cm:g} cm" for slot in slots)
        return f"{brief.size} frames ({roles}), {brief.tone.treatment}, prints: {prints}"
    print_ = f"prints of {brief.print_cm:g} cm at {brief.min_ppi:g} pixels per inch or more"
    return f"{brief.size} frames at {brief.aspect} ({roles or 'any roles'}), {brief.tone.treatment}, {print_}"


def _bounds(slot: Slot) -> str:
    return f"{slot.least}-{slot.most}" if slot.least != slot.most else f"{slot.least}"
