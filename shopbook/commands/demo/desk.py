"""The desk of the demo: each line of the story's table from the first look at the car until it is in the shop."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any

from shopbook.commands.demo.cars import describe_car, read_hurt, say_edge, say_wrong
from shopbook.commands.demo.floor import CarInHand, Floor, Step
from shopbook.commands.demo.frame import Frame, Row
from shopbook.commands.demo.happenings import Happenings
from shopbook.commands.demo.keys import Keys
from shopbook.models.customers import Customer, Vehicle
from shopbook.models.jobs import Job
from shopbook.queries.jobs.jobs import get_job_by_id
from shopbook.queries.jobs.parts import list_parts
from shopbook.queries.jobs.plans import list_bare_stages
from shopbook.queries.money.quotes import get_quote, sum_of_quote
from shopbook.queries.shop.book import list_places
from shopbook.services.act import Act
from shopbook.services.customers import add_customer, add_vehicle
from shopbook.services.jobs.damage import add_damage, add_reading
from shopbook.services.jobs.drafting import draft_plan
from shopbook.services.jobs.jobs import call_off, check_in, open_job, plan_days
from shopbook.services.jobs.parts import add_part, order_part, part_came
from shopbook.services.jobs.pictures import record_picture
from shopbook.services.jobs.plans import change_stage
from shopbook.services.money.approvals import agree_quote, ask_again
from shopbook.services.money.deposits import take_deposit
from shopbook.services.money.payers import PayerRule, set_payers
from shopbook.services.money.quote_groups import SaidPrice
from shopbook.services.money.quotes import draft_quote, give_quote, keep_kerb_price, lose_quote
from shopbook.trade.car.pictures import KeptPicture
from shopbook.trade.catalogue.stage_codes import StageCode

INSURER = "Millbrook Mutual Insurance"
EXCESS_MINOR = 50_000
_FIRMS = {INSURER: ("insurer", 30), "Millpond Motors": ("dealer", 30), "Green Lane Couriers": ("fleet", 30)}
_APPROVES_BY = ("in_person", "phone", "text", "mail")
_HOURS_A_DAY = 5


@dataclass
class Case:
    """One line of the story on its way through the shop."""

    row: Row
    job_id: int
    customer: Customer
    quote_id: int = 0
    promise_on: date | None = None


class Desk:
    """Who stands at the desk and answers the phone."""

    def __init__(
        self, frame: Frame, floor: Floor, rows: Sequence[Row], pictures: Mapping[Row, Sequence[KeptPicture]]
    ) -> None:
        self._frame, self._floor, self._pictures = frame, floor, pictures
        self._people: dict[str, Customer] = {}
        self._cars: dict[tuple[str, str], Vehicle] = {}
        self._jobs: dict[str, int] = {}
        self._keys = Keys(frame)
        self._happenings = Happenings(frame, floor)
        self.insurer = self._customer(INSURER, frame.at(frame.days[0], "7:30"))
        for row in rows:
            frame.push_near(frame.at(frame.day(row.days_ago), "9:00"), self._looking(row), 50)

    def _customer(self, name: str, moment: datetime) -> Customer:
        if name not in self._people:
            kind, days = _FIRMS.get(name, ("private", 0))
            phone = f"{self._frame.book.phone[:-2]}{len(self._people):02d}"
            mail = name.lower().replace(" ", ".") + "@example.com"
            given: dict[str, Any] = {"name": name, "phone": phone, "mail": mail, "kind": kind, "pays_within_days": days}
            self._people[name] = add_customer(Act(self._frame.session, self._frame.desk, moment), **given)
        return self._people[name]

    def _vehicle(self, row: Row, owner: Customer, moment: datetime) -> Vehicle:
        key = (row.who, row.car)
        if key not in self._cars:
            given = describe_car(row.car, self._frame.rng, self._frame.country)
            self._cars[key] = add_vehicle(
                Act(self._frame.session, self._frame.desk, moment), customer_id=owner.id, **given
            )
        return self._cars[key]

    def _looking(self, row: Row) -> Callable[[datetime], None]:
        return lambda moment: self._look(row, moment)

    def _look(self, row: Row, moment: datetime) -> None:
        frame, owner = self._frame, self._customer(row.who, moment)
        vehicle, is_comeback = self._vehicle(row, owner, moment), row.has("comeback")
        hurts = [read_hurt(word) for word in row.hurt]
        given: dict[str, Any] = {"payer_kind": "insurer" if row.end == "insurer" else owner.kind}
        if is_comeback:
            why = "blend edge shows in the sun"
            given |= {"purpose": "comeback", "comeback_of_id": self._jobs[row.who], "comeback_why": why}
        wrong = say_edge(hurts, frame.country) if is_comeback else say_wrong(hurts, frame.country)
        job = open_job(
            Act(frame.session, frame.desk, moment), customer_id=owner.id, vehicle_id=vehicle.id, wrong=wrong, **given
        )
        self._jobs[row.who] = job.id
        self._describe(row, job, hurts, moment)
        case = Case(row, job.id, owner)
        if is_comeback:
            self._expect(case, moment, 1, 1)
            return
        self._price(case, job, hurts, moment + timedelta(minutes=12))
        self._go_on(case, moment)

    def _describe(self, row: Row, job: Job, hurts: Sequence[dict[str, Any]], moment: datetime) -> None:
        frame = self._frame
        damages = [add_damage(Act(frame.session, frame.desk, moment), job.id, **hurt) for hurt in hurts]
        for kept in self._pictures.get(row, ()):
            record_picture(Act(frame.session, frame.desk, moment), job.id, kept, damages[0].id, caption="At the car")
        if self._pictures.get(row) and hurts[0]["substrate"] == "steel":
            for spot, film in (("beside the dent", 118.0), ("middle", 131.0)):
                add_reading(
                    Act(frame.session, frame.desk, moment), job.id, panel=hurts[0]["panel"], spot=spot, value=film
                )
        is_painted = any(hurt["paint"] == "paint" for hurt in hurts)
        if is_painted and not row.has("kerb"):
            cost = 4500 + 1900 * len(hurts)
            add_part(
                Act(frame.session, frame.desk, moment),
                job.id,
                name="Paint mixed for this car",
                kind="colour",
                cost_minor=cost,
            )
        draft_plan(Act(frame.session, frame.desk, moment), job.id)

    def _price(self, case: Case, job: Job, hurts: Sequence[dict[str, Any]], moment: datetime) -> None:
        session, desk = self._frame.session, self._frame.desk
        if case.row.has("kerb"):
            said = [
                SaidPrice(
                    hurt["panel"], self._frame.country.panel(hurt["panel"]).capitalize(), "Repair and paint", 64_000
                )
                for hurt in hurts
            ]
            kept = keep_kerb_price(
                Act(session, desk, moment), job, said, working_days_tenths=30, has_tax_inside=False, is_said=True
            )
            case.quote_id = kept.id
            return
        quote = draft_quote(Act(session, desk, moment), job.id)
        given = moment + timedelta(minutes=4)
        give_quote(Act(session, desk, given), quote.id, revision=quote.revision)
        ask_again(Act(session, desk, given), quote.id, "customer", "sent")
        case.quote_id = quote.id

    def _go_on(self, case: Case, moment: datetime) -> None:
        frame, row, today = self._frame, case.row, self._frame.hours.local_day(moment)
        if row.has("chase"):
            self._when(frame.after(today, 5), "10:20", lambda at: self._chase(case, at))
        if row.end == "lost":
            self._when(frame.after(today, 8), "11:30", lambda at: self._lose(case, at))
        elif row.end != "open":
            self._when(
                frame.after(today, min(frame.rng.randint(1, 2), row.days_ago)),
                "10:40",
                lambda at: self._approval(case, at),
            )

    def _when(self, day: date, clock: str, do: Callable[[datetime], None]) -> None:
        self._frame.push_near(self._frame.at(day, clock), do)

    def _chase(self, case: Case, moment: datetime) -> None:
        ask_again(Act(self._frame.session, self._frame.desk, moment), case.quote_id, "customer")

    def _lose(self, case: Case, moment: datetime) -> None:
        lose_quote(Act(self._frame.session, self._frame.desk, moment), case.quote_id, case.row.figure)

    def _insurers_approval(self, case: Case, moment: datetime) -> None:
        session, desk = self._frame.session, self._frame.desk
        rest = PayerRule(self.insurer.id, "rest", reference=f"Claim {self._frame.rng.randint(10000, 99999)}")
        rules = [PayerRule(case.customer.id, "excess", EXCESS_MINOR), rest]
        set_payers(Act(session, desk, moment), case.job_id, rules)
        given: dict[str, Any] = {"means": "mail", "said_by": "Claims desk", "customer_id": self.insurer.id}
        agree_quote(Act(session, desk, moment + timedelta(minutes=2)), case.quote_id, party="payer", **given)

    def _approval(self, case: Case, moment: datetime) -> None:
        frame, row, quote = self._frame, case.row, get_quote(self._frame.session, case.quote_id)
        session, desk = frame.session, frame.desk
        taken = [group.id for group in quote.groups]
        if row.has("decline"):
            taken.remove([group.id for group in quote.groups if group.key not in {"", "car"}][-1])
        approval: dict[str, Any] = {"means": frame.rng.choice(_APPROVES_BY), "said_by": row.who}
        approval |= {"number_called": case.customer.phone}
        agree_quote(
            Act(session, desk, moment), quote.id, party="customer", taken_group_ids=taken, still_holds=True, **approval
        )
        if row.end == "insurer":
            self._insurers_approval(case, moment)
        if row.has("deposit"):
            part = sum_of_quote(session, quote, taken).taken.gross_minor // 10_000 * 2_000
            take_deposit(Act(session, desk, moment), case.job_id, amount_minor=min(part, EXCESS_MINOR), means="card")
        if row.end == "off":
            self._when(frame.after(frame.hours.local_day(moment), 1), "14:00", lambda at: self._call_off(case, at))
            return
        lead = max(int(row.figure), 0) if row.end == "yes" else frame.rng.randint(1, 2)
        self._expect(case, moment, lead, lead)

    def _call_off(self, case: Case, moment: datetime) -> None:
        call_off(Act(self._frame.session, self._frame.desk, moment), case.job_id, "sold the car as is")

    def _expect(self, case: Case, moment: datetime, lead: int, colour_in: int) -> None:
        """Days in and out are given, and the colour is ordered."""
        frame, row = self._frame, case.row
        today = frame.hours.local_day(moment)
        first = (
            frame.day(-lead)
            if row.end == "yes" and lead
            else frame.days[-1]
            if row.end == "yes"
            else frame.after(today, lead)
        )
        hours = sum(stage.planned_minutes for stage in list_bare_stages(frame.session, case.job_id)) / 60
        case.promise_on = frame.after(first, 3 + int(hours / _HOURS_A_DAY))
        plan_days(Act(frame.session, frame.desk, moment), case.job_id, first, "morning", case.promise_on, "afternoon")
        for part in list_parts(frame.session, case.job_id):
            order_part(Act(frame.session, frame.desk, moment), part.id, max(today, frame.after(today, colour_in)))
            self._when(max(first, frame.after(today, 1)), "8:20", partial(self._part_comes, part.id))
        if row.end != "yes":
            frame.push_near(frame.at(first, "8:03"), lambda at: self._car_comes(case, at), 20)

    def _part_comes(self, part_id: int, moment: datetime) -> None:
        part_came(Act(self._frame.session, self._frame.desk, moment), part_id)

    def _car_comes(self, case: Case, moment: datetime) -> None:
        frame, row = self._frame, case.row
        job = get_job_by_id(frame.session, case.job_id)
        places = list_places(frame.session)
        facts: dict[str, Any] = {
            "key_number": str(1 + job.number % 24),
            "place_id": places[job.number % len(places)].id,
            "odometer": frame.rng.randint(18_000, 140_000),
            "fuel": "half",
            "was_there": "stone chips at the front" if job.number % 3 == 0 else "",
        }
        check_in(Act(frame.session, frame.desk, moment), job.id, revision=job.revision, **facts)
        car = CarInHand(
            job.id,
            frame.rng.uniform(0.8, 1.15),
            self._told(case),
            lambda at: self._keys.ready(row, case.customer, job.id, at),
        )
        if row.has("latepart"):
            self._wait_for_part(car, case, moment)
        self._floor.take(car)
        self._happenings.begin(row, car, moment)

    def _wait_for_part(self, car: CarInHand, case: Case, moment: datetime) -> None:
        frame, today = self._frame, self._frame.hours.local_day(moment)
        given: dict[str, Any] = {"name": "Bumper brackets, pair", "cost_minor": 8600, "due_on": None}
        part = add_part(Act(frame.session, frame.desk, moment), car.job_id, **given)
        order_part(Act(frame.session, frame.desk, moment), part.id, max(today, frame.day(1)))
        last = next(stage for stage in list_bare_stages(frame.session, car.job_id) if stage.code == StageCode.REFIT)
        change_stage(Act(frame.session, frame.desk, moment), last.id, part_id=part.id, why="brackets are broken")
        car.held.add(last.id)

    def _told(self, case: Case) -> Callable[[datetime, Step, Any], None]:
        return lambda moment, step, who: self._happenings.after(case.row, moment, step, who)
