"""What the search finds: customer, plate, phone, key, job number, a car in words, and a spelling that is close."""

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.customers import SearchKey
from shopbook.queries.jobs.finding import FoundRow, list_close, list_found
from shopbook.services.act import Act
from shopbook.services.customers import change_vehicle
from tests.makers import make_customer, make_vehicle
from tests.makers.jobs import make_job


@pytest.fixture
def cars(session: Session) -> dict[str, int]:
    """Three jobs: a silver wagon, a silver hatchback and a red wagon, their numbers by words."""
    made = {}
    for number, (name, colour, shape) in enumerate(
        [("Thea Nord", "silver", "estate wagon"), ("Ines Okafor", "silver", "hatchback"), ("Otto Lind", "red", "wagon")]
    ):
        customer = make_customer(session, name, f"555-010{number}")
        car = make_vehicle(
            session, customer, plate=f"KTR 20{number}", colour_name=colour, description=shape, year=2015 + number
        )
        made[name] = make_job(session, customer_id=customer.id, vehicle_id=car.id).number
    return made


def numbers(rows: list[FoundRow]) -> set[int]:
    return {row.job.number for row in rows if row.job}


@pytest.mark.parametrize(
    ("typed", "who"),
    [
        ("silver wagon", ["Thea Nord"]),
        ("wag sil", ["Thea Nord"]),
        ("Silver", ["Thea Nord", "Ines Okafor"]),
        ("wagon", ["Thea Nord", "Otto Lind"]),
        ("silver 2015", ["Thea Nord"]),
        ("2015 silver wagon", ["Thea Nord"]),
        ("silver 2017", []),
        ("green wagon", []),
        ("2015", []),
    ],
)
def test_a_car_is_found_by_all_the_words_that_were_typed(
    session: Session, cars: dict[str, int], typed: str, who: list[str]
) -> None:
    assert numbers(list_found(session, typed)) == {cars[name] for name in who}


def test_a_car_that_is_painted_is_found_by_its_new_words_alone(
    session: Session, cars: dict[str, int], act: Act
) -> None:
    row = next(row.vehicle for row in list_found(session, "red wagon") if row.vehicle)
    change_vehicle(act, row.id, revision=row.revision, colour_name="black")
    assert numbers(list_found(session, "black wagon")) == {cars["Otto Lind"]}
    assert not list_found(session, "red wagon")


def test_figures_in_the_words_of_a_car_are_no_number_of_a_job(session: Session, cars: dict[str, int]) -> None:
    """A van "350" is not in the way of what else 350 may be, and is found once a word stands beside it."""
    van = make_vehicle(session, None, plate="", description="van 350")
    assert not list_found(session, "350")
    assert [row.vehicle.id for row in list_found(session, "350 van") if row.vehicle] == [van.id]


def test_a_key_finds_the_car_that_is_here_and_not_the_one_that_had_it_before(session: Session, act: Act) -> None:
    gone, here = make_job(session), make_job(session)
    for job in (gone, here):
        job.key_number = "A7"
    gone.handed_over_at = act.moment
    session.flush()
    assert [row.job.id for row in list_found(session, "a7") if row.job] == [here.id]
    assert [row.job.id for row in list_found(session, "Key A7") if row.job] == [here.id]


def test_the_job_of_that_number_stands_before_the_car_with_that_key(session: Session) -> None:
    first, other = make_job(session), make_job(session)
    other.key_number = str(first.number)
    session.flush()
    assert [row.job.id for row in list_found(session, str(first.number)) if row.job] == [first.id, other.id]


@pytest.mark.parametrize(
    ("typed", "who"),
    [
        ("okafro", "Ines Okafor"),
        ("ines okafro", "Ines Okafor"),
        ("tehea nord", "Thea Nord"),
        ("ktr 20l", None),
        ("ktr 3201", "Ines Okafor"),
        ("silwer wagon", "Thea Nord"),
        ("lind", None),
        ("qqqqq", None),
        ("5559", None),
    ],
)
def test_what_is_close_is_one_slip_away(session: Session, cars: dict[str, int], typed: str, who: str | None) -> None:
    close = numbers(list_close(session, typed))
    if who:
        assert not list_found(session, typed)
        assert close == {cars[who]}
    elif typed.startswith("ktr"):
        assert close == set(cars.values())
    else:
        assert not close


def test_who_does_not_see_people_finds_jobs_alone_and_none_by_a_phone(session: Session, cars: dict[str, int]) -> None:
    make_customer(session, "Thea Ring", "555-0199")
    seen = list_found(session, "thea", sees_people=False)
    assert [row.job.number for row in seen if row.job] == [cars["Thea Nord"]]
    assert all(row.job for row in seen)
    assert not list_found(session, "555-0100", sees_people=False)
    assert numbers(list_found(session, "555-0100")) == {cars["Thea Nord"]}


def test_a_car_has_one_key_a_word_however_often_it_is_saved(session: Session, cars: dict[str, int], act: Act) -> None:
    row = next(row.vehicle for row in list_found(session, "red wagon") if row.vehicle)
    before = session.scalar(select(func.count()).select_from(SearchKey))
    change_vehicle(act, row.id, revision=row.revision, note="scratched before")
    assert session.scalar(select(func.count()).select_from(SearchKey)) == before
