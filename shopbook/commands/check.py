"""`shopbook check`: recompute the book from its lines and report what does not agree."""

from collections.abc import Iterator

import click
from sqlalchemy import Engine

from shopbook.commands.book import ask, now, open_book
from shopbook.commands.copies import backup_folder
from shopbook.config import Config, read_config
from shopbook.outside.files import hash_file, is_kept_whole
from shopbook.outside.kept_seals import list_backup_seals
from shopbook.outside.pictures import picture_path
from shopbook.queries.reports.kept_contents import KeptContent, list_kept_contents
from shopbook.queries.reports.proofs import Proof, count_before_keys, list_proofs
from shopbook.queries.reports.sealing.proofs import list_given_up, list_seal_proofs
from shopbook.queries.reports.sealing.remembered import Remembered
from shopbook.queries.shop.book import find_book
from shopbook.trade.errors import NotFound


def prove_book(config: Config, engine: Engine) -> Iterator[Proof]:
    """Every claim about the book, its seal and the files that it keeps, tried."""
    yield from ask(engine, list_proofs)
    backups = seals_of_backups(config, engine)
    yield from ask(engine, lambda session: list_seal_proofs(session, backups))
    kept = ask(engine, list_kept_contents)
    lost = [content for content in kept if not _is_whole(config, content)]
    yield Proof(
        "every picture and paper is there and undamaged",
        len(kept),
        tuple(f"{content.folder}/{content.sha256[:2]}/{content.sha256} is missing or damaged" for content in lost),
    )


def seals_of_backups(config: Config, engine: Engine) -> list[Remembered]:
    """The links that this book's backups remember, from wherever its backups lie."""
    book = ask(engine, find_book)
    if book is None:
        return []
    backups = list_backup_seals(backup_folder(config, engine, now()), book.book_key)
    return [Remembered(f"backup {one.name}", one.made_at, one.kept) for one in backups]


def _is_whole(config: Config, content: KeptContent) -> bool:
    """A picture's file carries its ending, a paper's none."""
    if content.folder == "papers":
        return is_kept_whole(config.papers_folder, content.sha256)
    try:
        return hash_file(picture_path(config.pictures_folder, content.sha256)) == content.sha256
    except NotFound:
        return False


@click.command()
@click.pass_context
def check(context: click.Context) -> None:
    """Recompute stock, totals, taxes and numbers from their lines; exit code 1 when anything is wrong."""
    config = read_config()
    with open_book(config) as engine:
        is_sound = say_proofs(prove_book(config, engine))
        before = ask(engine, count_before_keys)
        if before:
            click.echo(
                f"note   {before} older invoice lines are not matched: match them on the job's page to bill more of it"
            )
        backups = seals_of_backups(config, engine)
        for given_up in ask(engine, lambda session: list_given_up(session, backups)):
            click.echo(f"note   {given_up}")
    if not is_sound:
        context.exit(1)


def say_proofs(proofs: Iterator[Proof]) -> bool:
    """Print a line for each claim and one below it for each fault; answers whether all hold."""
    is_sound = True
    for proof in proofs:
        click.echo(f"{'FAULT' if proof.faults else 'ok   '}  {proof.claim}  ({proof.count})")
        for fault in proof.faults:
            click.echo(f"       {fault}")
            is_sound = False
    return is_sound
