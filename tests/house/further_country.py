"""What a book says in a country: run by a test in a copy of the program to which one country's file was added."""

import json
import sys
from io import BytesIO
from pathlib import Path

from flask import Flask
from pypdf import PdfReader
from sqlalchemy.orm import Session

import shopbook
from shopbook.app import create_app
from shopbook.config import read_config
from shopbook.models.schema import upgrade_schema
from shopbook.models.session import transaction
from shopbook.services.act import Act
from shopbook.services.floor.mixes import Poured, make_mix
from shopbook.services.shop.rates import set_settings
from shopbook.trade.countries import known_country
from shopbook.trade.permissions import THE_PROGRAM
from shopbook.trade.settings import SettingName
from shopbook.web.parts.act import db
from tests.clients import ShopClient
from tests.conftest import NOON
from tests.makers.floor import THURSDAY, make_work
from tests.makers.shelf import make_material

CODE = "abcd-efgh-jkmn"


def start(folder: Path, country: str) -> tuple[Flask, ShopClient]:
    """A book of that country, started through its one-time page."""
    config = read_config({"SHOPBOOK_DATA": str(folder)})
    folder.mkdir(parents=True, exist_ok=True)
    config.start_code_file.write_text(CODE, encoding="ascii")
    upgrade_schema(config.database_url)
    app = create_app(config, TESTING=True, CLOCK=lambda: NOON)
    client = ShopClient(app)
    with client.http.session_transaction() as kept:
        kept["csrf"] = "token"
    zones = known_country(country).zones
    answers = {
        "zone": zones[0] if len(zones) > 1 else "",
        "shop_name": "Quarry Lane",
        "hour": "900",
        "owner_name": "Noor",
        "password": "red door by the lane",
    }
    answer = client.press("/start", code=CODE, country=country, **answers)
    assert answer.status_code == 303, answer.text
    with client.http.session_transaction() as kept:
        kept["csrf"] = "token"
    return app, client


def mix(app: Flask) -> None:
    """The shop keeps the air record, and has mixed surfacer once."""
    with app.app_context(), Session(db.engine) as opened, transaction(opened):
        set_settings(Act(opened, THE_PROGRAM, NOON), {SettingName.SHOWS_AIR: True}, THURSDAY)
        surfacer = make_material(opened, "Surfacer A", role="surfacer")
        surfacer.sheet = {"voc_g_l": 540}
        stage = make_work(opened)
        make_mix(
            Act(opened, THE_PROGRAM, NOON), "Surfacer", [Poured("surfacer", 9_000, surfacer.id)], [(stage.id, 9_000)]
        )


def main() -> None:
    """Prints as JSON where the program came from and what its pages and papers say."""
    app, client = start(Path(sys.argv[1]), sys.argv[2])
    mix(app)
    paper = PdfReader(BytesIO(client.get("/months/2026-11/month-end.pdf").data)).pages[0]
    print(
        json.dumps(
            {
                "program": str(Path(shopbook.__file__).parent),
                "holidays": client.text("/settings/closed-days"),
                "taxes": client.text("/settings/taxes"),
                "air": client.text("/air/2026-11"),
                "paper": [round(float(each)) for each in paper.mediabox[2:]],
                "words": paper.extract_text(),
            }
        )
    )


if __name__ == "__main__":
    main()
