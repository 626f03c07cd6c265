"""The book notes which secret its PINs are kept with, so that a lost or foreign one is found."""

from shopbook.models.shop import Setting
from shopbook.queries.shop.book import find_book
from shopbook.queries.shop.people import list_people
from shopbook.queries.shop.rates import FROM_THE_FIRST
from shopbook.queries.shop.secret_check import find_secret_check
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.settings import SettingName


def note_secret(act: Act, check: str) -> bool:
    """Keep the check value of the secret, once: another secret later is a fault, and never noted over the first but by
    `renew_secret`.

    Answers whether it was noted now. A book that was never started has no PINs yet.
    """
    if find_book(act.session) is None or find_secret_check(act.session):
        return False
    _note(act, check)
    write_log(act, "note_secret", "book", 1, "Noted which secret the PINs are kept with")
    return True


def renew_secret(act: Act, check: str) -> int:
    """Go on with another secret on purpose: no PIN that was kept with the old one fits any more. Answers how many
    ended."""
    people = [person for person in list_people(act.session, is_everybody=True) if person.pin_hash is not None]
    for person in people:
        person.pin_hash = None
    _note(act, check)
    write_log(act, "renew_secret", "book", 1, f"Made a new secret, PINs that ended: {len(people)}")
    return len(people)


def _note(act: Act, check: str) -> None:
    act.session.add(Setting(name=SettingName.SECRET_CHECK, value=check, from_on=FROM_THE_FIRST, at=act.moment))
