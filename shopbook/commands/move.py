"""`shopbook move`: the whole book from one database to another, and proof that both are equal."""

import click
from sqlalchemy import Engine
from sqlalchemy.exc import ArgumentError, NoSuchModuleError, SQLAlchemyError

from shopbook.commands.book import Refused, alone, open_book, revision_of
from shopbook.commands.check import say_proofs
from shopbook.commands.proving import prove_book
from shopbook.config import Config, read_config
from shopbook.models.copying import copy_book, weigh_book
from shopbook.models.schema import upgrade_schema
from shopbook.models.session import make_engine


@click.command()
@click.option("--to", "url", required=True, help="The empty database, for example postgresql+psycopg://user@host/name")
def move(url: str) -> None:
    """Copy the book into an empty database, check both and compare them row by row. The old one stays as it is."""
    config = read_config()
    with alone(config), open_book(config) as source:
        _refuse_unsound(config, source, "The book here")
        target = _open_target(url)
        try:
            upgrade_schema(url)
            copy_book(source, target)
            _refuse_unsound(config, target, "The copy")
            rows = _compare(source, target)
        except ValueError as refusal:
            raise Refused(f"Nothing was moved: {refusal}.") from refusal
        except SQLAlchemyError as error:
            raise Refused(f"Nothing was moved: {' '.join(str(getattr(error, 'orig', error)).split())}") from error
        finally:
            target.dispose()
    click.echo(f"All {rows} rows are in the new database and match. Its counters continue after them.")
    click.echo("From now on, set  SHOPBOOK_DATABASE_URL  to the new address. The old file is unchanged.")


def _open_target(url: str) -> Engine:
    try:
        engine = make_engine(url)
    except (ArgumentError, NoSuchModuleError) as error:
        raise Refused("That is not a database address. Enter one like  postgresql+psycopg://user@host/name") from error
    except ImportError as error:
        raise Refused('The driver is not installed. Run  pip install "shopbook[postgresql]"') from error
    try:
        is_taken = revision_of(engine) is not None
    except SQLAlchemyError as error:
        engine.dispose()
        raise Refused(f"The other database does not respond: {' '.join(str(error.__cause__).split())}") from error
    if is_taken and any(contents.row_count for contents in weigh_book(engine).values()):
        engine.dispose()
        raise Refused("The other database already has a book. Use an empty one.")
    return engine


def _refuse_unsound(config: Config, engine: Engine, which: str) -> None:
    click.echo(f"{which}:")
    if not say_proofs(prove_book(config, engine)):
        raise Refused(f"{which} has faults. Correct them first.")


def _compare(source: Engine, target: Engine) -> int:
    here, there = weigh_book(source), weigh_book(target)
    unlike = [name for name in here if here[name] != there.get(name)]
    if unlike:
        raise Refused(f"The two books differ in {', '.join(unlike)}. Keep using the old one; it is correct.")
    return sum(contents.row_count for contents in here.values())
