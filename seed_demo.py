"""Builds the demo, an invented shop of four people over its last half year, through services alone, and serves it.

Every person, car, firm and product is invented. The seed is fixed; days count back from the day on which it is built.
"""

from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import click
from sqlalchemy import Engine
from sqlalchemy.orm import Session

from shopbook.commands.book import now
from shopbook.commands.demo.folder import USUAL_FOLDER, ready_demo, remove_demo, say_sign_ins, serve_demo
from shopbook.commands.demo.frame import DemoPerson, Row, Shop
from shopbook.commands.demo.story import tell_story
from shopbook.commands.places import DEFAULT_PORT
from shopbook.config import Config
from shopbook.models.session import transaction
from shopbook.trade.permissions import Role

NAME, PASSWORD = "Quarry Lane Dent and Paint", "a dent a day"


def _people(owner_minor: int, desk_minor: int, body_minor: int, paint_minor: int) -> tuple[DemoPerson, ...]:
    """The four of the shop, with what an hour of each costs."""
    return (
        DemoPerson("Noor", "owner", (Role.OWNER, Role.DESK), (), "1024", owner_minor),
        DemoPerson("Marit", "front desk", (Role.DESK,), (), "2048", desk_minor),
        DemoPerson("Sam", "technician, body", (Role.TECHNICIAN,), ("body", "detail"), "4096", body_minor),
        DemoPerson("Dana", "technician, paint", (Role.TECHNICIAN,), ("paint",), "8192", paint_minor),
    )


US, GB = _people(3800, 2200, 3300, 3600), _people(2400, 1450, 2000, 2200)
SHOPS = {
    "us": Shop(NAME, "us", "14 Quarry Lane\nMillbrook", "555-0100", "00-0000000", 9000, PASSWORD, US),
    "gb": Shop(NAME, "gb", "14 Quarry Lane\nMillbrook", "01632 960100", "GB 000 0000 00", 5500, PASSWORD, GB),
}
"""The same invented shop in two countries, wages and labour rate in each one's money; the numbers are of those kept
free for stories."""

# One car a line: working days since the first look | whose | car | damage | how it ends | what else happens.
# Damage: panel (LFD is left front door, BO bonnet, RB rear bumper …), then d dent, c crease, s scratch, f scuff,
# r rust, k crack, S M L its size and 1 2 3 its depth; h40 is forty small dents without paint.
# Ends: cash card transfer cheque (paid on collection), account (a monthly account), insurer (all but an excess), late
# (released unpaid), ready (not collected yet), free (nothing to pay), open (no answer), off (cancelled), lost:why,
# yes:N (comes in N working days).
STORY = """
124|Ines Okafor|blue hatchback|LFD.dM2 LFW.sS1|card|pic
123|Millpond Motors|silver wagon|RFD.dM2 RRD.cM2 RQ.dS1|account|
121|Tomasz Wrona|white pickup|FB.fM1 BO.dS1|cash|
120|Ada Brandt|red coupe|RQ.cL3 RB.fM1|lost:price|
118|Green Lane Couriers|white van|LQ.dL2 LFD.dM2 LS.dM2|account|
116|Rosa Lindqvist|green hatchback|LFW.dM2 FB.kS1 BO.sM1|insurer|deposit
114|Piet Mulder|black sedan|TG.dM2 RB.fL1|transfer|
112|Yara Haddon|grey hatchback|RFD.dS1|card|kerb
109|Millpond Motors|blue sedan|FB.fL1 LFW.dM2 LFD.sM1|account|
107|Owen Farrow|silver pickup|LQ.rM1 LS.rM2|cash|rework:run deposit
105|Selma Nowak|white hatchback|RO.dM1 BO.dL2|lost:time|
103|Hugo Berg|blue van|RFD.dL3 RRD.dM2|card|pic decline
101|Green Lane Couriers|white van|RQ.cL2 RRD.dM2 RB.fM1|account|
99|Leila Moss|red hatchback|LRD.dM2 LQ.cM2|card|rework:dirt
97|Bram Vogel|grey wagon|FB.kM1 BO.cM2 LFW.dM2|insurer|extra
95|Nadia Stone|black hatchback|RFW.dM2 RFD.sM1|cash|over
92|Ira Falk|silver coupe|LFD.dM2|lost:no_answer|kerb
90|Millpond Motors|red sedan|TG.dS1 RB.fM1 RQ.dM2|account|
88|Ines Okafor|blue hatchback|RB.fM1|card|kerb
86|Kofi Lane|white sedan|BO.dM2 FB.fM1 RFW.cM2|transfer|extra
84|Dora Quist|green wagon|LQ.dL2 LRD.dM2|card|
82|Emil Sand|black pickup|TG.cL2|off|
80|Green Lane Couriers|white van|LFD.dM2 LFW.cM2 FB.fL1|account|rework:fish_eye
77|Tess Harlow|blue sedan|RRD.dM2 RFD.dM2 RS.sM1|card|
75|Joan Pike|grey hatchback|LFW.dS1 LFD.dM2|cash|credit
73|Arlo Winter|silver van|RO.h40 BO.h60|card|pic
71|Millpond Motors|white hatchback|FB.fL1 RFW.dM2|account|
69|Sana Reed|red wagon|RQ.dL3 RB.kM1 TG.dM2|insurer|extra deposit
66|Marek Holt|black sedan|LFD.cL2 LRD.cL2|late|
64|Leila Moss|red hatchback|LQ.sM1|free|comeback
63|Vera Ashby|blue wagon|BO.dM2|lost:price|
61|Finn Otter|white coupe|RFW.cM2 FB.fM1|card|
58|Green Lane Couriers|white van|RQ.dL2 RS.dM2|account|
56|Zoe Marsh|grey sedan|LRD.dM2 LQ.dM2 RB.fM1|transfer|
54|Nils Corran|green pickup|LQ.rM2 LS.rM2 LFW.rS1|cash|extra
53|Wim Ostler|silver wagon|RFD.dM2 RFW.dM2|card|
51|Millpond Motors|silver sedan|RFD.dM2 RRD.dM2|account|
49|Imani Cole|blue hatchback|TG.cM2 RB.fL1|card|pic
47|Ruth Vale|black wagon|BO.cL2 FB.kM1|insurer|
45|Otis Gray|red pickup|LFD.dM2 LFW.dM2|cash|rework:orange_peel
42|Greta Holm|white sedan|RQ.cM2|lost:other|
40|Sami Frost|silver hatchback|LFD.dL2 LRD.dM2 LS.sM1|card|decline
39|Elin Marr|grey sedan|LQ.dM2 LRD.dM2|transfer|
38|Green Lane Couriers|white van|FB.fL1 BO.dM2|account|
36|Lotte Ray|green sedan|RFW.dM2 RFD.cM2|card|over
34|Dario Penn|grey pickup|TG.dL2 RB.fM1 LQ.dM2|late|
33|Noel Farr|blue coupe|BO.dM2 RFW.dM2|card|
31|Millpond Motors|black hatchback|LFW.cM2 FB.fM1 LFD.dM2|account|
29|Anya Birch|blue coupe|RQ.dM2 RRD.sM1|transfer|
27|Hal Mercer|white wagon|BO.dM2 RFW.dM2|insurer|
25|Joost Adler|red sedan|LRD.dM2|lost:no_answer|kerb
23|Mina Park|silver hatchback|RFD.dM2 RRD.dM2|card|pic sprayout:retint,blend
21|Green Lane Couriers|white van|LQ.cL2 RB.fM1|account|
19|Esra Toll|black sedan|FB.kM1 LFW.dM2|card|
17|Walt Finch|grey van|RO.h40 BO.h60 LFD.h20|late|pic
16|Pia Storm|green hatchback|TG.dM2 RB.fM1|ready|
14|Rosa Lindqvist|green hatchback|LQ.cL2 LRD.dL2 LS.dM2|insurer|pic
13|Millpond Motors|blue wagon|RFW.dM2 RFD.dM2|account|sprayout:match
12|Cleo Hart|white hatchback|BO.dL2 FB.fL1|open|chase
11|Abel Rook|silver pickup|LFD.cL2 LFW.dM2 LRD.dM2|card|pic rework:run
10|Una Shaw|red hatchback|RQ.dM2 RB.fM1|ready|deposit
10|Piet Mulder|black sedan|RFD.cL2 RRD.dL2|insurer|risk pic
9|Bo Lamont|grey sedan|FB.kL1 BO.dM2 RFW.cM2|card|latepart
8|Green Lane Couriers|white van|RFD.dM2 RRD.dL2|account|
7|Thea Nord|blue hatchback|LFD.dM2 LQ.dM2|card|call
6|Oskar Bell|red sedan|BO.dM2 RFW.dM2|card|pic
7|Yara Haddon|grey hatchback|LRD.cM2 LQ.dM2|cash|deposit
6|Milo West|black coupe|RB.fL1 TG.dM2|open|
5|Jana Kirk|white sedan|LFW.dM2 FB.fM1|yes:0|deposit
4|Sol Avery|green wagon|RQ.cL2 RRD.cM2|yes:2|
3|Ines Okafor|blue hatchback|TG.dM2|yes:3|
3|Enzo Wick|silver hatchback|LFD.dM2 LFW.sM1|open|pic
2|Millpond Motors|grey hatchback|BO.cM2 FB.fM1|yes:5|
1|Freya Locke|red wagon|RFW.dM2|open|kerb
0|Ivo Hale|black pickup|LQ.dL2 RB.fL1|open|pic
"""

# Prices of the shelf: the material's role, minor units a pack, packs at the start, which supplier.
SUPPLIERS = ("Bay Street Paint Supply", "Corner Abrasives")
PRICES = """
filler 3400 2 0|filler_hardener 650 3 0|plastic_filler 3900 1 0|etch 4800 1 0|etch_activator 3600 1 0|epoxy 5200 2 0
epoxy_activator 3900 2 0|promoter 4400 2 0|surfacer 9800 2 0|surfacer_activator 5600 2 0|surfacer_reducer 6100 1 0
sealer 8900 1 0|sealer_activator 5200 1 0|sealer_reducer 6000 1 0|base_reducer 6400 2 0|base_blender 5800 2 0
clear 21500 2 0|clear_activator 13900 2 0|gun_thinner 5900 2 0|degreaser 4100 2 0|plastic_cleaner 1700 2 0
rust_treatment 1500 1 0|seam_sealer 1200 2 0|cavity_wax 1400 1 0|compound 2900 2 1|guide_coat 1100 4 1|tape 420 24 1
masking_paper 2400 3 1|masking_film 2700 3 1|wipes 2200 3 1|tack_cloth 1300 4 1|polish_cloth 1600 4 1|gloves 1900 5 1
strainer 1200 3 1|fine_pad 2600 3 1|clip_set 900 6 1|disc_p80 4200 2 1|disc_p180 4100 2 1|disc_p320 4000 3 1
disc_p500 3200 3 1|disc_p800 3200 3 1|disc_p1500 3900 2 1|disc_p3000 3600 2 1
"""


def build(config: Config, engine: Engine, moment: datetime, story: str = STORY, country: str = "us") -> None:
    """Write the whole story into an empty book of a country, as of `moment`."""
    rows = [Row.read(line) for line in story.strip().splitlines()]
    prices = [price.split() for line in PRICES.strip().splitlines() for price in line.split("|")]
    with Session(engine, expire_on_commit=False) as session:
        for do in tell_story(session, config, moment.astimezone(UTC), SHOPS[country], rows, SUPPLIERS, prices):
            with transaction(session):
                do()


@click.command(context_settings={"help_option_names": ["-h", "--help"]})
@click.option("--serve", is_flag=True, help="Serve the demo on this machine when it is built.")
@click.option("--port", type=click.IntRange(1, 65535), default=DEFAULT_PORT, show_default=True)
@click.option(
    "--country",
    type=click.Choice(list(SHOPS)),
    default="us",
    show_default=True,
    help="Its words and money.",
)
@click.option(
    "--folder",
    type=click.Path(file_okay=False, path_type=Path),
    help=f"Where to build it; {USUAL_FOLDER} or one beside it.",
)
@click.option("--again", is_flag=True, help="Build it again, replacing an older one.")
@click.option("--remove", is_flag=True, help="Throw it away.")
def main(serve: bool, port: int, country: str, folder: Path | None, again: bool, remove: bool) -> None:
    """Build the demo of an invented shop in its own folder, and serve it. You can run it again at any time."""
    usual = USUAL_FOLDER if country == "us" else USUAL_FOLDER.with_name(f"{USUAL_FOLDER.name}-{country}")
    if remove:
        remove_demo(folder or usual)
        return
    config = ready_demo(folder or usual, now(), partial(build, country=country), again=again)
    say_sign_ins(SHOPS[country])
    if serve:
        serve_demo(config, port)


if __name__ == "__main__":
    main()
