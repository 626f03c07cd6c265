"""`shopbook init`: a data folder with an empty book, a secret, and the code for the page of the first run."""

import secrets
from urllib.parse import quote

import click
from sqlalchemy import Engine
from sqlalchemy.exc import SQLAlchemyError

from shopbook.commands.book import Refused, alone, ask, open_book
from shopbook.commands.places import DEFAULT_PORT
from shopbook.config import Config, read_config
from shopbook.models.schema import upgrade_schema
from shopbook.outside.files import writing_whole
from shopbook.queries.shop.book import find_book

_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
"""Without letters that are easily confused when read aloud."""


@click.command()
def init() -> None:
    """Create the data folder and an empty book, and print the address of its first page. Safe to run again."""
    config = read_config()
    is_new = config.book_file is None or not config.book_file.exists()
    with alone(config):
        for folder in (config.pictures_folder, config.papers_folder):
            folder.mkdir(parents=True, exist_ok=True)
        config.read_secret()
        if is_new:
            _make_database(config)
        with open_book(config) as engine:
            is_started = _has_answers(engine)
        if not is_started and not config.start_code_file.exists():
            _leave_code(config)
    click.echo(f"The book is in {config.data_folder}")
    if is_started:
        click.echo("It is already started. Run  shopbook serve")
    else:
        click.echo("Now run  shopbook serve  and open this once in a browser on this machine:")
        click.echo(f"  http://127.0.0.1:{DEFAULT_PORT}{first_page(config)}")


def _make_database(config: Config) -> None:
    try:
        upgrade_schema(config.database_url)
    except SQLAlchemyError as error:
        raise Refused(f"The database does not respond: {' '.join(str(error.__cause__ or error).split())}") from error


def _has_answers(engine: Engine) -> bool:
    return ask(engine, find_book) is not None


def _leave_code(config: Config) -> None:
    code = "-".join("".join(secrets.choice(_LETTERS) for _ in range(4)) for _ in range(3))
    with writing_whole(config.start_code_file) as file:
        file.write(code.encode("ascii"))


def first_page(config: Config) -> str:
    """The path of the page of the first run with its code; the front page when the code was used."""
    if not config.start_code_file.is_file():
        return "/"
    return f"/start?code={quote(config.start_code_file.read_text(encoding='ascii').strip())}"
