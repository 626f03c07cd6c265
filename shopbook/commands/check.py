"""`shopbook check`: recompute the book from its lines and report what does not agree."""

import json
from collections.abc import Iterator

import click
from sqlalchemy import Engine

from shopbook.commands.book import ask, open_book
from shopbook.commands.proving import prove_book, seals_of_backups
from shopbook.config import Config, read_config
from shopbook.queries.reports.proofs import Proof, count_before_keys
from shopbook.queries.reports.sealing.proofs import list_given_up

JSON_FORM = 1
"""The number of the form of `check --json`. A form is never changed: a new one takes the next number."""


@click.command()
@click.option("--json", "is_json", is_flag=True, help="Print one JSON object for other programs.")
@click.pass_context
def check(context: click.Context, is_json: bool) -> None:
    """Recompute stock, totals, taxes and numbers from their lines; exit code 1 when anything is wrong."""
    config = read_config()
    with open_book(config) as engine:
        proofs = prove_book(config, engine)
        is_sound = say_json(proofs, _notes(config, engine)) if is_json else say_proofs(proofs)
        for note in () if is_json else _notes(config, engine):
            click.echo(f"note   {note}")
    if not is_sound:
        context.exit(1)


def _notes(config: Config, engine: Engine) -> Iterator[str]:
    """What is no fault, in a sentence each."""
    before = ask(engine, count_before_keys)
    if before:
        yield f"{before} older invoice lines are not matched: match them on the job's page to bill more of it"
    backups = seals_of_backups(config, engine)
    yield from ask(engine, lambda session: list_given_up(session, backups))


def say_proofs(proofs: Iterator[Proof]) -> bool:
    """Print a line for each claim and one below it for each fault, its row last; answers whether all hold."""
    is_sound = True
    for proof in proofs:
        click.echo(f"{'FAULT' if proof.faults else 'ok   '}  {proof.claim}  ({proof.count})")
        for fault in proof.faults:
            click.echo(f"       {fault.said}  [{fault.table} {fault.key}]")
            is_sound = False
    return is_sound


def say_json(proofs: Iterator[Proof], notes: Iterator[str]) -> bool:
    """Print all of it as one JSON object; answers whether all hold.

    `{"form": 1, "is_sound": true, "claims": [{"code": "stock", "claim": "…", "count": 47, "faults": [{"table":
    "material", "key": "12", "said": "…"}]}], "notes": ["…"]}`: codes stay, sentences may be reworded.
    """
    claims = [
        {
            "code": proof.code,
            "claim": proof.claim,
            "count": proof.count,
            "faults": [{"table": fault.table, "key": fault.key, "said": fault.said} for fault in proof.faults],
        }
        for proof in proofs
    ]
    is_sound = not any(claim["faults"] for claim in claims)
    whole = {"form": JSON_FORM, "is_sound": is_sound, "claims": claims, "notes": list(notes)}
    click.echo(json.dumps(whole, ensure_ascii=False, indent=1))
    return is_sound
