"""The book notes which secret its PINs are kept with, so that a lost or foreign one is found."""

from shopbook.models.shop import Setting
from shopbook.queries.shop.book import find_book
from shopbook.queries.shop.rates import FROM_THE_FIRST
from shopbook.queries.shop.secret_check import find_secret_check
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.settings import SettingName


def note_secret(act: Act, check: str) -> bool:
    """Keep the check value of the secret, once: another secret later is a fault, and never noted over the first.

    Answers whether it was noted now. A book that was never started has no PINs yet.
    """
    if find_book(act.session) is None or find_secret_check(act.session):
        return False
    act.session.add(Setting(name=SettingName.SECRET_CHECK, value=check, from_on=FROM_THE_FIRST, at=act.moment))
    write_log(act, "note_secret", "book", 1, "Noted which secret the PINs are kept with")
    return True
