"""A ready text and links that open the device's own messages, email and phone. Nothing is sent automatically."""

from dataclasses import dataclass
from urllib.parse import quote

from shopbook.web.parts.act import shop_now
from shopbook.web.parts.rows import Customer


@dataclass(frozen=True, slots=True)
class Sending:
    """What to send to whom: `phone` is empty where none is known, and then there is no message link either."""

    text: str
    phone: str
    sms_url: str | None
    mail_url: str


def send_to(customer: Customer | None, about: str, text: str) -> Sending:
    """The text for one customer; `about` follows the shop's name in the email's subject."""
    known = customer if customer is not None and customer.erased_at is None else None
    phone, mail = (known.phone, known.mail) if known else ("", "")
    dialled = "".join(mark for mark in phone if mark.isdigit() or mark == "+")
    subject = quote(f"{shop_now().book.shop_name}: {about}")
    return Sending(
        text=text,
        phone=phone,
        sms_url=f"sms:{dialled}?body={quote(text)}" if dialled else None,
        mail_url=f"mailto:{quote(mail, safe='@')}?subject={subject}&body={quote(text)}",
    )
