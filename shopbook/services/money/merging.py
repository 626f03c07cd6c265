"""Two customers are the same person: the second points at the first until both are parted again."""

from sqlalchemy import or_, select, update
from sqlalchemy.orm import Session, aliased

from shopbook.models.customers import Customer, whole_of
from shopbook.models.jobs import Job
from shopbook.models.money import JobPayer
from shopbook.queries.customers import get_customer
from shopbook.services.act import Act
from shopbook.services.postings import write_log
from shopbook.trade.errors import Conflict, NotFound, RuleBroken


def merge_customers(act: Act, first_id: int, second_id: int) -> Customer:
    """Everything of the second is read as the first's from now on; issued papers keep the name they were issued in.

    The second keeps its row and points at the first, and so do those merged into it before. NotFound for nobody;
    Conflict when the second was merged meanwhile; RuleBroken for one customer with itself, or two who stand on one job.
    """
    first, second = get_customer(act.session, first_id), _row(act.session, second_id)
    if first.id == second.id:
        raise RuleBroken("That is this customer. Choose the other one.", "who")
    if second.merged_into_id is not None:
        raise Conflict("This customer was merged already. Look at what is there now.")
    number = _shared_job(act.session, first.id, second.id)
    if number is not None:
        raise RuleBroken(f"Both are on job {number}. Change who pays for it first.", "who")
    act.session.execute(update(Customer).where(Customer.merged_into_id == second.id).values(merged_into_id=first.id))
    second.merged_into_id = first.id
    for row, words in ((first, f"Merged customer {second.id} into this one"), (second, f"Merged into {first.id}")):
        row.revision += 1
        write_log(act, "merge_customers", "customer", row.id, words)
    _read_anew(act.session)
    return first


def part_customer(act: Act, customer_id: int) -> Customer:
    """The two are not the same person after all: the pointer goes, and what was the second's is the second's again.

    What was written meanwhile on the second's jobs is the second's. Conflict where it points at nobody.
    """
    second = _row(act.session, customer_id)
    if second.merged_into_id is None:
        raise Conflict("This customer is merged into nobody. Look at what is there now.")
    first_id, second.merged_into_id = second.merged_into_id, None
    second.revision += 1
    write_log(act, "part_customer", "customer", first_id, f"Parted customer {second.id} from this one")
    write_log(act, "part_customer", "customer", second.id, f"Parted from customer {first_id}")
    _read_anew(act.session)
    return second


def _row(session: Session, customer_id: int) -> Customer:
    """The row itself, wherever it points."""
    row = session.get(Customer, customer_id)
    if row is None or row.erased_at is not None:
        raise NotFound("There is no such customer in the book.")
    return row


def _read_anew(session: Session) -> None:
    # The pointer first: what is loaded already was read along the old one, and is read again.
    session.flush()
    session.expire_all()


def _shared_job(session: Session, first_id: int, second_id: int) -> int | None:
    """The newest job on which one of them brings the car or pays and the other does too: two shares of one person."""
    one, other = aliased(JobPayer), aliased(JobPayer)
    owner = whole_of(Job.customer_id)
    ids = (first_id, second_id)
    asked = (
        select(Job.number)
        .join(one, one.job_id == Job.id)
        .outerjoin(other, (other.job_id == Job.id) & (other.id != one.id))
        .where(
            one.whose_id.in_(ids),
            or_(
                owner.in_(ids) & (owner != one.whose_id),
                other.whose_id.in_(ids) & (other.whose_id != one.whose_id),
            ),
        )
    )
    return session.scalar(asked.order_by(Job.id.desc()).limit(1))
