"""The colours of a car: what was mixed for it, and what its spray-out cards said, for its jobs and on its own page."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flask import render_template, request, url_for
from sqlalchemy.orm import Session

from shopbook.queries.floor.colour_cards import get_card, list_cards, list_cards_in, shown_pictures
from shopbook.queries.jobs.jobs import get_job, get_job_by_id
from shopbook.services.floor.colour_cards import CardSaid, keep_colour_card, remove_colour_card
from shopbook.services.jobs.pictures import record_picture
from shopbook.trade.car.pictures import KeptPicture, PicturePurpose
from shopbook.trade.coating.colour_cards import (
    VERDICT_WORDS,
    CardVerdict,
    FormulaLine,
    card_to_start_from,
    read_formula,
    say_colour,
)
from shopbook.trade.measures.quantities import format_quantity
from shopbook.trade.measures.units import Unit
from shopbook.web.floor.blueprint import blueprint
from shopbook.web.floor.forms import ColourCardForm
from shopbook.web.parts import Act, Answer, Done, act_by_form, act_by_press, does, needs, reader, shop_now
from shopbook.web.parts.photos import carry, keep_sent
from shopbook.web.parts.rows import ColourCard, Job, Picture, Vehicle
from shopbook.web.parts.sections import Page, page_section

VERDICT_TAGS: dict[CardVerdict, str] = {
    CardVerdict.NOT_YET: "",
    CardVerdict.MATCH: "good",
    CardVerdict.BLEND: "warn",
    CardVerdict.RETINT: "late",
}


@dataclass(frozen=True, slots=True)
class ShownCard:
    """One card as a page shows it: picture and verdict first, the rest folded."""

    card: ColourCard
    picture: Picture | None
    verdict: str
    tag: str
    colour: str
    lines: tuple[FormulaLine, ...]

    @property
    def total_thousandths_g(self) -> int:
        """What the lines of the formula weigh together."""
        return sum(line.thousandths_g for line in self.lines)


def show_cards(session: Session, cards: Sequence[ColourCard]) -> list[ShownCard]:
    """Cards with their pictures, in the order given."""
    pictures = shown_pictures(session, cards)
    return [
        ShownCard(
            card,
            pictures.get(card.id),
            VERDICT_WORDS[CardVerdict(card.verdict)],
            VERDICT_TAGS[CardVerdict(card.verdict)],
            say_colour(card.colour_code, card.variant, card.shade),
            read_formula(card.formula),
        )
        for card in cards
    ]


def _grams(thousandths: int) -> str:
    """A weight as paint scales show it, to a tenth of a gram, whatever the shop weighs in otherwise."""
    return format_quantity(thousandths, Unit.G, places=1, locale=shop_now().units.locale)


@blueprint.get("/jobs/<int:number>/colour")
@needs("floor", "work")
def colour(number: int) -> Answer:
    job = get_job(reader(), number)
    cards = list_cards(reader(), job.vehicle.id) if job.vehicle else []
    return render_template(
        "floor/colour.html", job=job, cards=show_cards(reader(), cards), start=_start(job, cards), grams=_grams
    )


def _start(job: Job, own: Sequence[ColourCard]) -> str:
    """What the next job in the car's colour starts from, where that is another car's card."""
    if own or not job.vehicle:
        return ""
    card = card_to_start_from(list_cards_in(reader(), job.vehicle.colour_code), job.vehicle.id)
    return say_start(card, job) if card else ""


def say_start(card: ColourCard, job: Job) -> str:
    """The card that a job starts from in one line: "Match on another car, 2026-03-02: B21, variant 3, darker"."""
    whose = "this car" if card.vehicle_id == job.vehicle_id else "another car"
    colour_said = say_colour(card.colour_code, card.variant, card.shade)
    return f"{VERDICT_WORDS[CardVerdict(card.verdict)]} on {whose}, {card.made_on.isoformat()}: {colour_said}"


@blueprint.route("/jobs/<int:number>/colour/new", methods=["GET", "POST"])
@needs("floor", "work")
def new_colour(number: int) -> Answer:
    return _card_page(get_job(reader(), number), None)


@blueprint.route("/colour-cards/<int:card_id>", methods=["GET", "POST"])
@needs("floor", "work")
def colour_card(card_id: int) -> Answer:
    card = get_card(reader(), card_id)
    return _card_page(get_job_by_id(reader(), card.job_id), card)


def _card_page(job: Job, card: ColourCard | None) -> Answer:
    form = ColourCardForm(obj=card, data=None if card else _begun(job))
    sent, troubles = keep_sent() if request.method == "POST" else ([], [])
    if troubles:
        form.photo.process_errors = troubles

    def keep(act: Act) -> Done:
        picture_id = _recorded(act, job.id, sent)
        given = {name: value for name, value in form.clean().items() if name != "photo"}
        keep_colour_card(act, job.id, CardSaid(**given), card.id if card else None, picture_id)
        lines = read_formula(form.formula.data or "")
        told = f"Saved, formula of {len(lines)} lines." if lines else "Saved."
        return Done(url_for("floor.colour", number=job.number), told)

    kept = [carry(picture) for picture in sent]
    return act_by_form(form, "floor/colour_card.html", keep, job=job, card=card, kept=kept)


def _begun(job: Job) -> dict[str, object]:
    """A new card begins with the newest of this car, else with what another car in the colour starts from."""
    code = job.vehicle.colour_code if job.vehicle else ""
    own = list_cards(reader(), job.vehicle.id) if job.vehicle else []
    last = own[0] if own else card_to_start_from(list_cards_in(reader(), code), job.vehicle_id)
    named = ("colour_code", "variant", "shade", "formula", "coats", "light")
    begun: dict[str, object] = {name: getattr(last, name) for name in named} if last else {"colour_code": code}
    return begun | {"made_on": shop_now().day}


def _recorded(act: Act, job_id: int, sent: Sequence[KeptPicture]) -> int | None:
    """The newest of the sent photos is the card's; the others stay with the job."""
    recorded = [record_picture(act, job_id, picture, purpose=PicturePurpose.CARD) for picture in sent]
    return recorded[-1].id if recorded else None


@blueprint.post("/colour-cards/<int:card_id>/remove")
@needs("floor", "work")
def remove_colour(card_id: int) -> Answer:
    job = get_job_by_id(reader(), get_card(reader(), card_id).job_id)
    back = url_for("floor.colour", number=job.number)
    return act_by_press(does(lambda act: remove_colour_card(act, card_id), back, "Removed."), back)


@page_section(Page.CAR, "floor/_cars_colours.html", order=20)
def cars_colours(session: Session, vehicle: Vehicle) -> Mapping[str, object] | None:
    """What was mixed for a car, on its page."""
    cards = list_cards(session, vehicle.id)
    return {"cards": show_cards(session, cards), "grams": _grams} if cards else None
