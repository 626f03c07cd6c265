"""Cars of an old book are found by their words, as if they were added today; the way back takes those keys alone."""

from sqlalchemy import Engine, text
from sqlalchemy.orm import Session

from shopbook.models.customers import Vehicle
from shopbook.models.schema import downgrade_schema, upgrade_schema
from shopbook.models.session import WRITES, make_engine
from shopbook.trade.search_keys import car_keys
from tests.rows import fill_every_table

BEFORE, OWN = "20261130_dry_seen", "20261201_car_words"
SAID = {"Estate, 350": "Silver-GREY", "Łódź van": "Müller blue", "": "", "हिन्दी": "ＲＥＤ 2"}


def old_book(url: str) -> Engine:
    """A filled book as the version before kept it, its cars called in as many ways."""
    engine = make_engine(url)
    with engine.connect().execution_options(**{WRITES: True}) as connection, connection.begin():
        fill_every_table(connection)
        row = dict(connection.execute(text("SELECT * FROM vehicle")).mappings().one())
        names = ", ".join(row)
        for place, (description, colour) in enumerate(SAID.items(), 101):
            values = row | {"id": place, "description": description, "colour_name": colour}
            into = f"INSERT INTO vehicle ({names}) VALUES ({', '.join(f':{name}' for name in row)})"
            connection.execute(text(into), values)
        connection.execute(text("DELETE FROM search_key WHERE kind = 'car'"))
    downgrade_schema(url, BEFORE)
    return engine


def keys(engine: Engine) -> set[tuple[int, str]]:
    with engine.connect() as connection:
        found = connection.execute(text("SELECT vehicle_id, key FROM search_key WHERE kind = 'car'"))
        return {(vehicle_id, key) for vehicle_id, key in found}


def test_old_cars_get_the_keys_that_a_new_one_gets_and_lose_them_on_the_way_back(url: str) -> None:
    engine = old_book(url)
    with engine.connect() as connection:
        others = connection.scalar(text("SELECT count(*) FROM search_key"))
    upgrade_schema(url, OWN)
    found = keys(engine)
    assert {(101, "estate"), (101, "350"), (101, "grey"), (102, "lodz"), (102, "muller"), (104, "red")} <= found
    upgrade_schema(url)
    with Session(engine) as session:
        cars = session.query(Vehicle).all()
        wanted = {(car.id, key) for car in cars for key in car_keys(car.description, car.colour_name)}
    assert keys(engine) == wanted == found
    downgrade_schema(url, BEFORE)
    assert keys(engine) == set()
    with engine.connect() as connection:
        assert connection.scalar(text("SELECT count(*) FROM search_key")) == others
    engine.dispose()
