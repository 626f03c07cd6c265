"""A whole shop at random: the desk's acts of money, and clocks, parts, materials, comebacks and cancelled jobs."""

from datetime import timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from shopbook.models.floor import ClockEntry
from shopbook.models.jobs import Job, JobPart
from shopbook.models.money import Payment
from shopbook.models.session import transaction
from shopbook.services.act import Act
from shopbook.services.floor.entries import Doing, write_entry
from shopbook.services.jobs.comebacks import open_comeback
from shopbook.services.jobs.jobs import call_off
from shopbook.services.jobs.parts import add_part, part_came, send_part_back
from shopbook.services.money.reversals import reverse_payment
from shopbook.services.postings import Source, reverse_clock
from shopbook.services.shelf.stock import draw_stock, open_pack, waste_stock
from shopbook.trade.errors import Conflict, RuleBroken
from shopbook.trade.floor.hours import Interval
from tests.makers.floor import make_painter, make_work
from tests.makers.random_desk import Desk
from tests.makers.shelf import make_delivery, make_material

FIRST_JOBS = 6


class RandomShop(Desk):
    """A desk with a floor and a shelf behind it; an act comes hours or days after the last, so that months pass."""

    def __init__(self, session: Session, seed: int) -> None:
        super().__init__(session, seed)
        with transaction(session):
            self.people = [make_painter(session, name, cost=self.dice.randint(2000, 6000)) for name in ("Dana", "Sam")]
            self.clear = make_material(session)
            self.wipes = make_material(session, "Wipes", way="shop_supplies", role="", pack_price_minor=1735)
            for material in (self.clear, self.wipes):
                make_delivery(session, material, packs=2)
            for _ in range(FIRST_JOBS):
                self.open()
        self.floor = [self.clock, self.clock, self.clock, self.unclock, self.buy, self.send_back, self.draw, self.draw]
        self.rest = [self.open_box, self.deliver, self.waste, self.cancel, self.come_back, self.bounce, self.finish]

    def go_on(self) -> None:
        """One more act: of the desk, or of floor and shelf."""
        if self.dice.random() < 0.5:
            self.step()
            return
        self.now += timedelta(minutes=self.dice.randint(100, 1800))
        try:
            with transaction(self.session):
                self.dice.choice([*self.floor, *self.rest])()
        except (RuleBroken, Conflict):
            pass

    def act(self) -> Act:
        return Act(self.session, self.who, self.now)

    def clock(self) -> None:
        """Up to four hours until now, on one stage or on two jobs at once."""
        who = self.dice.choice(self.people)
        purpose = self.dice.choice(("plan", "plan", "rework"))
        stages = [make_work(self.session, job=self.job(), purpose=purpose) for _ in range(self.dice.randint(1, 2))]
        span = Interval(self.now - timedelta(minutes=self.dice.randint(7, 240)), self.now)
        write_entry(self.act(), who.person_id or 0, span, Doing(stage_ids=tuple(stage.id for stage in stages)))

    def unclock(self) -> None:
        entries = self.session.scalars(select(ClockEntry).where(ClockEntry.reverses_id.is_(None))).all()
        gone = set(self.session.scalars(select(ClockEntry.reverses_id)))
        standing = [entry for entry in entries if entry.id not in gone]
        if standing:
            reverse_clock(self.act(), self.dice.choice(standing), "slip")

    def buy(self) -> None:
        kind = self.dice.choice(("part", "colour", "sublet", "fee"))
        part = add_part(self.act(), self.job().id, name=f"a {kind}", kind=kind, cost_minor=self.dice.randint(0, 30000))
        part_came(self.act(), part.id)

    def send_back(self) -> None:
        came = self.session.scalars(select(JobPart).where(JobPart.sent_back_at.is_(None))).all()
        if came:
            send_part_back(self.act(), self.dice.choice(came).id)

    def draw(self) -> None:
        """More than the shelf holds at times."""
        amount = self.dice.randint(1, 700) * 1000
        draw_stock(self.act(), self.clear, amount, Source(job_id=self.job().id))

    def open_box(self) -> None:
        open_pack(self.act(), self.wipes)

    def deliver(self) -> None:
        make_delivery(self.session, self.clear, cost_minor=self.dice.randint(3000, 5000), now=self.now)

    def waste(self) -> None:
        waste_stock(self.act(), self.clear, self.dice.randint(1, 90) * 1000, cause="spilled")

    def cancel(self) -> None:
        if self.dice.random() < 0.5:
            call_off(self.act(), self.job().id, "price")

    def come_back(self) -> None:
        gone = self.session.scalars(select(Job).where(Job.handed_over_at.is_not(None))).all()
        if gone:
            back = open_comeback(self.act(), self.dice.choice(gone).id, wrong="dull", why="dust")
            self.jobs.append(back.id)

    def bounce(self) -> None:
        """Somebody's payment comes back."""
        free = self.paid()
        if free:
            kind = self.dice.choice(("typed_wrong", "other_job"))
            reverse_payment(self.act(), self.dice.choice(free), kind=kind, reason="slip")

    def paid(self) -> list[int]:
        return list(self.session.scalars(select(Payment.id).where(Payment.kind == "payment", Payment.amount_minor > 0)))

    def finish(self) -> None:
        self.job().ready_at = self.now
