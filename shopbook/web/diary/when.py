"""When can you take it? Three offers for a car that is asked about, from anywhere in two presses."""

from dataclasses import dataclass

from flask import render_template, request, url_for

from shopbook.queries.diary.offers import DayOffered, offers_for
from shopbook.trade.diary.odds import FEWEST
from shopbook.trade.measures.half_days import half_day_words
from shopbook.trade.planning.drafting import draft_plan
from shopbook.trade.planning.kerb import KerbAnswer, kerb_damages
from shopbook.trade.planning.shapes import Car, Conditions
from shopbook.trade.planning.usual import ASKED_PANELS
from shopbook.web.diary.routes import blueprint
from shopbook.web.parts import country, needs, now, shop_now

COUNT_WORDS = {1: "One panel", 2: "Two panels", 3: "Three panels"}
USUAL_COUNT = 2


@dataclass(frozen=True, slots=True)
class OfferWords:
    """An offer as it is said on the telephone, and where it is booked."""

    words: str
    odds: str
    why: str
    book_url: str


@blueprint.get("/when")
@needs("diary", "see")
def when() -> str:
    count = request.args.get("panels", USUAL_COUNT, type=int)
    count = count if count in COUNT_WORDS else USUAL_COUNT
    answers = [KerbAnswer(panel) for panel in ASKED_PANELS[:count]]
    catalogue = shop_now().catalogue
    draft = draft_plan(catalogue, Car(), kerb_damages(answers, catalogue), Conditions())
    found = offers_for(shop_now(), draft, now())
    return render_template(
        "diary/when.html",
        offers=[_words(offer) for offer in found.offers],
        trouble=found.trouble,
        odds=_odds(found.cars),
        count=count,
        count_words=COUNT_WORDS,
        minutes=sum(stage.minutes for stage in draft.stages),
    )


def _words(offer: DayOffered) -> OfferWords:
    today, form = shop_now().day, country().date_form
    comes, back = (half_day_words(*half, today, form) for half in (offer.drop_off, offer.told))
    day, half = offer.drop_off
    book_in = url_for("jobs.book_in", who="", payer_kind="private", drop_off_on=day.isoformat(), drop_off_half=half)
    odds = f"{offer.tenths} in 10 ready by then" if offer.tenths is not None else ""
    return OfferWords(f"Drop-off {comes}, ready {back}", odds, offer.why, book_in)


def _odds(cars: int) -> str:
    if cars < FEWEST:
        return f"Half a day is added until {FEWEST} cars are finished: {cars} so far."
    return f"Odds are those of the last {cars} cars."
