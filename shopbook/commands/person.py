"""`shopbook person add`: someone who can sign in, for the day when no owner can."""

import click

from shopbook.commands.book import Refused, act, open_book
from shopbook.config import read_config
from shopbook.outside.passwords import SHORTEST_PASSWORD, hash_password
from shopbook.services.act import Act
from shopbook.services.shop.people import add_person
from shopbook.trade.permissions import Role


@click.group()
def person() -> None:
    """The people of the shop."""


@person.command()
@click.argument("name")
@click.option("--role", "roles", multiple=True, required=True, type=click.Choice([role.value for role in Role]))
@click.option("--skill", "skills", multiple=True, type=click.Choice(["body", "paint", "detail"]))
@click.password_option(help="You are asked for it if you leave it out.")
def add(name: str, roles: tuple[str, ...], skills: tuple[str, ...], password: str) -> None:
    """Add a person who signs in with a password. Repeat --role for more than one role."""
    if len(password) < SHORTEST_PASSWORD:
        raise Refused(f"Choose a password of at least {SHORTEST_PASSWORD} characters. A short sentence works well.")
    asked = [Role(role) for role in roles]
    with open_book(read_config()) as engine:
        password_hash = hash_password(password)

        def do(act: Act) -> str:
            added = add_person(act, name=name, roles=asked, skills=skills, password_hash=password_hash)
            return added.name

        added = act(engine, do)
    click.echo(f"{added} can sign in now.")
