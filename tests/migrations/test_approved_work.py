"""Old approvals get the work that was planned on their day, said to be reconstructed; none where no plan is known."""

from datetime import timedelta
from pathlib import Path

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.jobs import Stage
from shopbook.models.money import Approval, ApprovalWork, InvoiceLine
from shopbook.models.schema import downgrade_schema, upgrade_schema
from shopbook.models.session import WRITES, make_engine
from shopbook.services.act import Act
from shopbook.services.jobs.parts import add_part
from shopbook.services.jobs.plans import change_stage
from shopbook.trade.permissions import Role
from tests.conftest import NOON
from tests.makers import make_book, make_person
from tests.makers.billing import make_agreed_job
from tests.makers.jobs import make_planned_job
from tests.makers.quotes import GIVEN, make_given_quote, make_yes
from tests.migrations.old_books import old_book

BEFORE = "20261130_way_back"


def fill(session: Session) -> None:
    """A job approved by its plan, whose plan changed on the next day; and one that never had a plan."""
    make_book(session)
    owner = make_person(session, "Noor", Role.OWNER, Role.DESK, skills=("detail",), cost=4000)
    make_person(session, "Sam", Role.TECHNICIAN, skills=("body",), cost=3200)
    make_person(session, "Dana", Role.TECHNICIAN, skills=("paint",), cost=3500)
    job = make_planned_job(session, "right_quarter", "rear_bumper")
    add_part(Act(session, owner, GIVEN), job.id, kind="colour", name="Color, 500 ml", cost_minor=8800)
    make_yes(session, make_given_quote(session, job))
    later = Act(session, owner, GIVEN + timedelta(days=1))
    stage = session.scalars(select(Stage).where(Stage.job_id == job.id).order_by(Stage.position)).first()
    assert stage is not None
    change_stage(later, stage.id, planned_minutes=stage.planned_minutes + 600, why="Rust")
    make_agreed_job(session, NOON)


def sums(session: Session) -> dict[tuple[str, str, int], tuple[int, int, int]]:
    """Minutes, amount and cost by kind, skill and item."""
    keys = (ApprovalWork.kind, ApprovalWork.skill, ApprovalWork.item_key)
    figures = (func.sum(ApprovalWork.minutes), func.sum(ApprovalWork.amount_thousandths))
    rows = session.execute(select(*keys, *figures, func.sum(ApprovalWork.cost_minor)).group_by(*keys))
    return {(row[0], row[1], row[2]): (int(row[3]), int(row[4]), int(row[5])) for row in rows}


def test_the_plan_of_that_day_is_found_again_and_none_where_there_was_none(url: str) -> None:
    engine = make_engine(url)
    with Session(engine.connect().execution_options(**{WRITES: True})) as session:
        fill(session)
        session.commit()
        before = sums(session)
        session.connection().close()
    engine.dispose()
    downgrade_schema(url, BEFORE)
    upgrade_schema(url)
    with Session(engine) as session:
        assert all(session.scalars(select(ApprovalWork.is_reconstructed)))
        found = sums(session)
        hours, kept = ({key: row for key, row in each.items() if key[0] == "labour"} for each in (found, before))
        assert hours == kept
        assert {key: row for key, row in found.items() if key[0] in {"colour", "part"}} == {
            key: row for key, row in before.items() if key[0] in {"colour", "part"}
        }
        assert len(set(session.scalars(select(ApprovalWork.approval_id)))) == 1
        assert session.scalar(select(func.count()).select_from(Approval)) == 3
    engine.dispose()


def test_an_old_book_has_the_hours_of_every_approval_of_a_plan(tmp_path: Path) -> None:
    url = old_book(tmp_path)
    upgrade_schema(url)
    engine = make_engine(url)
    with Session(engine) as session:
        known = set(session.scalars(select(ApprovalWork.approval_id).where(ApprovalWork.minutes > 0)))
        customers = set(session.scalars(select(Approval.id).where(Approval.party == "customer")))
        assert len(customers) > 50
        assert customers - known == set()
        assert set(session.scalars(select(InvoiceLine.minutes))) == {None}
    engine.dispose()
