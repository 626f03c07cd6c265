"""The colour as it was mixed for a car: saved with its formula, compared by its spray-out card, removed."""

from dataclasses import dataclass
from datetime import date

from shopbook.models.floor import ColourCard
from shopbook.queries.floor.colour_cards import get_card
from shopbook.queries.floor.sprays import plain_code
from shopbook.queries.jobs.damage import get_picture
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.coating.colour_cards import VERDICT_WORDS, CardVerdict, say_colour
from shopbook.trade.errors import RuleBroken
from shopbook.trade.letters import lower_first


@dataclass(frozen=True, slots=True)
class CardSaid:
    """What is saved of one colour of a car."""

    made_on: date
    colour_code: str = ""
    """Empty: the car's."""
    variant: str = ""
    shade: str = ""
    formula: str = ""
    verdict: str = ""
    coats: int | None = None
    light: str = ""
    note: str = ""


def keep_colour_card(
    act: Act, job_id: int, said: CardSaid, card_id: int | None = None, picture_id: int | None = None
) -> ColourCard:
    """Save a colour of the job's car, or what is said anew of a card; its picture stays where no other is given.

    RuleBroken without a car, for a day to come, for a card of another car, and where nothing names the colour.
    """
    job = get_job_by_id(act.session, job_id)
    if job.vehicle is None:
        raise RuleBroken("This job has no car yet. Name the car on the job first.")
    code = plain_code(said.colour_code.strip() or job.vehicle.colour_code)[:200]
    if not code:
        raise RuleBroken("Enter the {colour} code, for example B21.", "colour_code")
    if said.made_on > act.day:
        raise RuleBroken("Enter a day up to today.", "made_on")
    if picture_id is not None:
        get_picture(act.session, picture_id)
    card = _card(act, job.id, job.vehicle.id, card_id)
    card.colour_code, card.variant, card.shade = code, said.variant.strip(), said.shade.strip()
    card.made_on, card.formula, card.verdict = said.made_on, said.formula.strip(), CardVerdict(said.verdict)
    card.coats, card.light, card.note = said.coats, said.light.strip(), said.note.strip()
    card.picture_id = picture_id or card.picture_id
    act.session.flush()
    words = f"Saved the spray-out card {_words(card)}"
    write_log(act, "keep_colour_card", "colour_card", card.id, words, job_id=job.id)
    return card


def _card(act: Act, job_id: int, vehicle_id: int, card_id: int | None) -> ColourCard:
    if card_id is not None:
        known = get_card(act.session, card_id)
        if known.vehicle_id != vehicle_id:
            raise RuleBroken("That card belongs to another car. Go back and look at this one again.")
        return known
    made = ColourCard(
        job_id=job_id, vehicle_id=vehicle_id, at=act.moment, person_id=act.actor.person_id, picture_id=None
    )
    act.session.add(made)
    return made


def remove_colour_card(act: Act, card_id: int) -> None:
    """Remove a card; its picture stays with the job."""
    card = get_card(act.session, card_id)
    words = f"Removed the spray-out card {_words(card)}"
    write_log(act, "remove_colour_card", "colour_card", card.id, words, job_id=card.job_id)
    act.session.delete(card)
    act.session.flush()


def _words(card: ColourCard) -> str:
    verdict = lower_first(VERDICT_WORDS[CardVerdict(card.verdict)])
    return f"{say_colour(card.colour_code, card.variant, card.shade)}: {verdict}"
