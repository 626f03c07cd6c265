"""`shopbook new-secret`: a secret in place of one that is lost or that somebody saw; everybody sets a new PIN."""

import secrets

import click

from shopbook.commands.book import act, alone, open_book
from shopbook.config import read_config
from shopbook.outside.passwords import check_of
from shopbook.services.shop.secret_check import renew_secret


@click.command("new-secret")
@click.confirmation_option(prompt="Everybody is signed out and needs a new PIN. Make a new secret?")
def new_secret() -> None:
    """Make a new secret, after the old one was lost or seen: all PINs end, everybody signs in with a password."""
    config = read_config()
    with alone(config), open_book(config) as engine:
        made = secrets.token_bytes(32)
        fresh = config.secret_file.with_name("secret-new")
        fresh.touch(mode=0o600)
        fresh.write_text(made.hex(), encoding="ascii")
        # The book first: PINs that ended fit no secret. If this stops in between, the next try makes all of it anew.
        count = act(engine, lambda act: renew_secret(act, check_of(made)))
        fresh.replace(config.secret_file)
    click.echo(f"There is a new secret. PINs that ended: {count}.")
    click.echo("Everybody signs in with a password and sets a new PIN. Owners set one for those without a password.")
