"""Which secret the book's PINs were kept with, by its check value."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.shop import Setting
from shopbook.trade.settings import SettingName


def find_secret_check(session: Session) -> str:
    """The check value that was noted; empty until one was."""
    asked = select(Setting.value).where(Setting.name == SettingName.SECRET_CHECK).order_by(Setting.id.desc()).limit(1)
    value = session.scalar(asked)
    return value if isinstance(value, str) else ""
