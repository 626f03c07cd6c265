"""`shopbook upgrade`: bring the book to this program's schema and figures, after a backup of it as it was."""

import click
from sqlalchemy import Engine
from sqlalchemy.orm import Session

from shopbook.commands.book import Refused, act, alone, any_book, ask, now, refuse_newer, revision_of
from shopbook.commands.copies import back_up, backup_folder
from shopbook.commands.kept import note_own_secret
from shopbook.config import Config, read_config
from shopbook.models.schema import newest_revision, upgrade_schema
from shopbook.queries.diary.later import list_later
from shopbook.queries.shop.guesses import find_other_release
from shopbook.queries.shop.shop_on import shop_at
from shopbook.services.shop.guesses import keep_figures
from shopbook.trade.errors import Conflict


@click.command()
def upgrade() -> None:
    """Back up the book, then upgrade it to this program. Its prices and standards stay as they are."""
    config = read_config()
    with alone(config), any_book(config) as engine:
        stands, wanted = revision_of(engine), newest_revision()
        if stands is None:
            raise Refused("The database is empty: run  shopbook init")
        refuse_newer(engine)
        is_old = stands != wanted
        if is_old or ask(engine, find_other_release) is not None:
            made = back_up(config, engine, backup_folder(config, engine, now()), now())
            click.echo(f"Backup of the book before the upgrade: {made.path}")
        bring_up(config, engine)
        if is_old:
            _tell_later(engine)
    click.echo(f"The book is now at version {wanted}." if is_old else f"The book is already at version {wanted}.")


def _tell_later(engine: Engine) -> None:
    """Name the cars whose plans, counted as this version counts, end after what was told; the promises stay."""
    for sentence in ask(engine, _later):
        click.echo(sentence)


def _later(session: Session) -> list[str]:
    late = list_later(session, now())
    if not late:
        return []
    shop = shop_at(session, now())
    near = (shop.day, shop.country.date_form)
    return [
        f"Job {number} was promised for {car.told_words(*near)}; by its plan it is ready {car.ready_words(*near)}."
        for number, car in late.items()
    ]


def bring_up(config: Config, engine: Engine) -> None:
    """The schema first, then the figures in one write of their own: a cut between them is mended by another run.

    Refused for a book of a newer program. At the end the book notes which secret its PINs are kept with.
    """
    refuse_newer(engine)
    upgrade_schema(config.database_url)
    try:
        kept = act(engine, keep_figures)
    except Conflict as refusal:
        raise Refused(refusal.sentence) from refusal
    if kept:
        click.echo(f"{kept} of our guesses changed; the book keeps its own. Settings shows both.")
    note_own_secret(config, engine)
