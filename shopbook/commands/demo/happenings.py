"""What happens to a car of the demo while it is in work: cards sprayed, trouble, extras found, a customer who calls."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

from shopbook.commands.demo.floor import CarInHand, Floor, Step
from shopbook.commands.demo.frame import Frame, Row
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.money.quotes import get_quote
from shopbook.services.act import Act
from shopbook.services.floor.colour_cards import CardSaid, keep_colour_card
from shopbook.services.floor.spoken import note_wants_call
from shopbook.services.floor.troubles import Report, report_trouble
from shopbook.services.jobs.plans import add_stage
from shopbook.services.money.approvals import agree_quote, ask_again
from shopbook.services.money.extras import draft_extra
from shopbook.services.money.quotes import give_quote
from shopbook.trade.catalogue.stage_codes import StageCode
from shopbook.trade.permissions import Actor
from shopbook.trade.trouble.kinds import Defect, FoundIn

_CAUSES = {
    "run": "too much in one pass, gun too close",
    "dirt": "floor not wetted before spraying",
    "fish_eye": "silicone from {tyre} dressing on the next car",
    "orange_peel": "{clear} too thick on a cold morning",
}


_FORMULA = "White {white}.5\nBlack 21.0\nBlue 96.5\nMetallic, coarse 148.0"
_CARD_COATS = 3


class Happenings:
    """What happens between the plan and the hand-over."""

    def __init__(self, frame: Frame, floor: Floor) -> None:
        self._frame, self._floor = frame, floor
        self._cars: dict[Row, CarInHand] = {}
        self._had: set[tuple[Row, str]] = set()

    def begin(self, row: Row, car: CarInHand, moment: datetime) -> None:
        """The car is here: whoever wants to be called says so."""
        self._cars[row] = car
        if row.has("call"):
            note_wants_call(
                Act(self._frame.session, self._frame.technicians[0], moment), car.job_id, "about the door seal"
            )

    def after(self, row: Row, moment: datetime, step: Step, who: Actor) -> None:
        """A stage is done: what the story has for this car may follow."""
        if step.code == StageCode.UNMASK and self._is_first(row, "rework"):
            self._trouble(row, moment, who)
        if step.code == StageCode.COLOUR and self._is_first(row, "sprayout"):
            self._spray_out(row, moment, who)
        if step.code in {StageCode.TRIM_OFF, StageCode.STRIP} and self._is_first(row, "extra"):
            self._soon(moment, lambda at: self._extra(row, at, is_risk=False))
        if step.code in {StageCode.TRIM_OFF, StageCode.STRIP} and self._is_first(row, "risk"):
            self._soon(moment, lambda at: self._extra(row, at, is_risk=True))

    def _is_first(self, row: Row, tag: str) -> bool:
        if not row.has(tag) or (row, tag) in self._had:
            return False
        self._had.add((row, tag))
        return True

    def _soon(self, moment: datetime, do: Callable[[datetime], None]) -> None:
        self._frame.push(moment + timedelta(minutes=1), do)

    def _spray_out(self, row: Row, moment: datetime, who: Actor) -> None:
        """One variant of the code after the other, until a card can be sprayed."""
        for tried, verdict in enumerate(row.word("sprayout").split(",")):
            said = CardSaid(
                made_on=self._frame.hours.local_day(moment),
                variant="ABC"[tried],
                formula=_FORMULA.format(white=412 - 30 * tried),
                verdict=verdict,
                coats=_CARD_COATS,
                light="daylight, in the shade",
            )
            keep_colour_card(Act(self._frame.session, who, moment), self._cars[row].job_id, said)

    def _trouble(self, row: Row, moment: datetime, who: Actor) -> None:
        car, word = self._cars[row], row.word("rework")
        sprayed = next(step for step in car.steps.values() if step.code == StageCode.BASE_CLEAR)
        report = Report(Defect(word), FoundIn.CLEAR, cause=self._frame.country.say(_CAUSES[word]))
        report_trouble(Act(self._frame.session, who, moment), sprayed.id, report)
        self._floor.reload(car)

    def _extra(self, row: Row, moment: datetime, *, is_risk: bool) -> None:
        """Something is found below; the owner says yes by phone. At risk: the insurer has not, and work goes on."""
        frame, car = self._frame, self._cars[row]
        session, desk = frame.session, frame.desk
        job = get_job_by_id(session, car.job_id)
        last = max((step for step in car.steps.values() if step.done_at), key=lambda step: step.done_at or moment)
        given: dict[str, Any] = {
            "name": "Straighten the inner brace",
            "skill": "body",
            "minutes": 75,
            "after_stage_id": last.id,
        }
        stage = add_stage(Act(session, frame.technicians[0], moment), job.id, why="found behind the panel", **given)
        quote = draft_extra(
            Act(session, desk, moment), job.id, title="Inner brace bent behind the panel", stage_ids=[stage.id]
        )
        give_quote(Act(session, desk, moment), quote.id, revision=quote.revision)
        quote = get_quote(session, quote.id)
        approval: dict[str, Any] = {
            "means": "phone",
            "said_by": row.who,
            "number_called": job.customer.phone if job.customer else "",
            "taken_group_ids": [group.id for group in quote.groups],
        }
        agree_quote(Act(session, desk, moment), quote.id, party="customer", **approval)
        if is_risk:
            ask_again(Act(session, desk, moment), quote.id, "payer")
        self._floor.reload(car)
