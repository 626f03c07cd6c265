"""The places of the shop as the board takes them: what each holds, and which of them is for spraying."""

from shopbook.models.shop import Place
from shopbook.queries.shop.shop_on import ShopOn
from shopbook.trade.diary.rooms import PlaceRoom


def rooms_of(shop: ShopOn) -> list[PlaceRoom]:
    """The places in use, bays first; no statement where the shop is read."""
    return [room_of(place) for place in shop.places]


def room_of(place: Place) -> PlaceRoom:
    """A bay holds one car, the yard any number; which bay is for spraying no book says yet."""
    return PlaceRoom(place.id, place.name, 1 if place.is_bay else None)
