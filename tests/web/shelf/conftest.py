"""A shelf that the pages' tests press on."""

import pytest

from shopbook.models.session import transaction
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.makers.shelf import make_delivery, make_material, make_supplier


@pytest.fixture
def stocked(client: ShopClient) -> ShopClient:
    """A shelf with two litres of clear (1), uncounted filler (2) and tape for the shop floor (3)."""
    with client.app.app_context(), transaction(db.session()) as session:
        north = make_supplier(session)
        clear = make_material(session, supplier_id=north.id, shelf_place="shelf B", shelf_life_days=600)
        make_material(
            session, "Filler, lightweight", unit="g", pack_thousandths=1_500_000, pack_name="1.5 kg", role="filler"
        )
        tape = make_material(
            session,
            "Masking tape",
            unit="piece",
            way="shop_supplies",
            pack_thousandths=24_000,
            pack_name="box",
            role="tape",
        )
        make_delivery(session, clear, 2)
        make_delivery(session, tape, 2, 5000)
        db.session.expunge_all()
    return client
