"""What has dried stands on top of the list with Seen; the sound beside it is off, and made of moments."""

from flask import Flask

from shopbook.models.jobs import Job, Stage
from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.floor import at, make_wait, make_work
from tests.web.floor.test_floor import set_clock

HEADING = "<h2>Dry now</h2>"


def test_what_has_dried_stands_on_top_until_seen(app: Flask) -> None:
    """Primer done at 9:00 dries until 12:00."""
    with app.app_context(), transaction(db.session()) as session:
        prime = make_work(session, "Prime")
        make_wait(session, prime, 180)
        make_work(session, "Block", job=session.get_one(Job, prime.job_id), after_stage_id=prime.id)
        key = prime.id
    app.config["CLOCK"] = lambda: at("9:00")
    dana = ShopClient(app).signed_in_as("Dana")
    dana.press_on("/floor/done", stage=str(key))
    set_clock(dana, "11:00")
    early = dana.text("/floor/")
    assert HEADING not in early
    assert early.count("data-ends=") == 1
    set_clock(dana, "12:01")
    over = dana.text("/floor/")
    assert over.index(HEADING) < over.index("<h2>Ready for paint</h2>")
    assert "data-ends=" not in over
    dana.press_on(f"/floor/stages/{key}/seen")
    assert HEADING not in dana.text("/floor/")
    with app.app_context():
        assert db.session().get_one(Stage, key).dry_seen_at == at("12:01")
