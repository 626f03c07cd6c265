"""`shopbook upgrade`: bring the book to this program's schema, after a backup of it as it was."""

import click
from alembic.util import CommandError

from shopbook.commands.book import Refused, alone, any_book, now, revision_of
from shopbook.commands.copies import back_up, backup_folder
from shopbook.config import read_config
from shopbook.models.schema import newest_revision, upgrade_schema


@click.command()
def upgrade() -> None:
    """Back the book up, then bring it to the schema of this program."""
    config = read_config()
    with alone(config), any_book(config) as engine:
        stands, wanted = revision_of(engine), newest_revision()
        if stands is None:
            raise Refused("The database is empty: run  shopbook init")
        if stands != wanted:
            made = back_up(config, engine, backup_folder(config, engine, now()), now())
            click.echo(f"The book as it was is in {made.path}")
        try:
            upgrade_schema(config.database_url)
        except CommandError:
            raise Refused(f"The book stands at {stands}, which a newer Shopbook made: install that one.") from None
    click.echo(f"The book stands at {wanted}." if stands != wanted else f"The book stood at {wanted} already.")
