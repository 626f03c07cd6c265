"""`shopbook move`: the whole book from one database into another, proved equal before it is called done."""

import click
from sqlalchemy import Engine
from sqlalchemy.exc import ArgumentError, NoSuchModuleError, SQLAlchemyError

from shopbook.commands.book import Refused, alone, open_book, revision_of
from shopbook.commands.check import prove_book, say_proofs
from shopbook.config import Config, read_config
from shopbook.models.copying import copy_book, weigh_book
from shopbook.models.schema import upgrade_schema
from shopbook.models.session import make_engine


@click.command()
@click.option("--to", "url", required=True, help="The empty database, as postgresql+psycopg://user@host/name")
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
    click.echo(f"{rows} rows are in the new database, every one equal; its counters go on behind them.")
    click.echo("Set  SHOPBOOK_DATABASE_URL  to the new address from now on. The old file is left as it was.")


def _open_target(url: str) -> Engine:
    try:
        engine = make_engine(url)
    except (ArgumentError, NoSuchModuleError) as error:
        raise Refused("That is no database address. One looks like  postgresql+psycopg://user@host/name") from error
    except ImportError as error:
        raise Refused('The driver is not installed: pip install "shopbook[postgresql]"') from error
    try:
        is_taken = revision_of(engine) is not None
    except SQLAlchemyError as error:
        engine.dispose()
        raise Refused(f"The other database does not answer: {' '.join(str(error.__cause__).split())}") from error
    if is_taken and any(contents.row_count for contents in weigh_book(engine).values()):
        engine.dispose()
        raise Refused("The other database holds a book already: name an empty one.")
    return engine


def _refuse_unsound(config: Config, engine: Engine, which: str) -> None:
    click.echo(f"{which}:")
    if not say_proofs(prove_book(config, engine)):
        raise Refused(f"{which} does not hold what it claims: put that right first.")


def _compare(source: Engine, target: Engine) -> int:
    here, there = weigh_book(source), weigh_book(target)
    unlike = [name for name in here if here[name] != there.get(name)]
    if unlike:
        raise Refused(f"The two books differ in {', '.join(unlike)}: the old one is the right one, keep using it.")
    return sum(contents.row_count for contents in here.values())
