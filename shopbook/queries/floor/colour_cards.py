"""The colours that were mixed for a car, and what their spray-out cards said."""

from collections.abc import Sequence

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from shopbook.models.floor import ColourCard
from shopbook.models.jobs import Picture
from shopbook.queries.floor.sprays import plain_code
from shopbook.trade.errors import NotFound


def get_card(session: Session, card_id: int) -> ColourCard:
    """One card; NotFound when there is none."""
    card = session.get(ColourCard, card_id)
    if card is None:
        raise NotFound("This card is not in the book. Go back and look at the car again.")
    return card


def list_cards(session: Session, vehicle_id: int) -> list[ColourCard]:
    """The cards of a car, the newest first."""
    return _cards(session, ColourCard.vehicle_id == vehicle_id)


def list_cards_in(session: Session, colour_code: str) -> list[ColourCard]:
    """The cards of every car in a colour, the newest first; codes are compared without case and spaces."""
    wanted = plain_code(colour_code)
    return _cards(session, ColourCard.colour_code == wanted) if wanted else []


def shown_pictures(session: Session, cards: Sequence[ColourCard]) -> dict[int, Picture]:
    """The picture of each card by the card's key; one that was removed from its job is not shown."""
    wanted = {card.picture_id: card.id for card in cards if card.picture_id is not None}
    if not wanted:
        return {}
    rows = session.scalars(select(Picture).where(Picture.id.in_(list(wanted)), Picture.struck_at.is_(None)))
    return {wanted[row.id]: row for row in rows}


def _cards(session: Session, condition: ColumnElement[bool]) -> list[ColourCard]:
    session.flush()
    newest_first = (ColourCard.made_on.desc(), ColourCard.id.desc())
    return list(session.scalars(select(ColourCard).where(condition).order_by(*newest_first)))
