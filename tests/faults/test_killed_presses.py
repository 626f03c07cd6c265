"""A server killed in the middle of a press: of a payment before it was kept, of a photo before it was named."""

import io
import multiprocessing
import os
import signal
from pathlib import Path

import pytest
from PIL import Image
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from shopbook.models.money import Allocation, Payment
from shopbook.models.session import make_engine, transaction
from shopbook.models.shop import ActKey
from shopbook.outside.files import list_files
from shopbook.outside.pictures import keep_picture, picture_path
from shopbook.queries.reports.proofs import list_proofs
from shopbook.services.act import Act
from shopbook.services.money.invoices import issue_invoice
from shopbook.services.money.payments import take_payment
from shopbook.services.shop.acts import Done, claim_act, keep_result
from shopbook.trade.permissions import THE_PROGRAM, Role
from tests.conftest import NOON
from tests.makers import make_book, make_person
from tests.makers.billing import make_agreed_job

SPAWN = multiprocessing.get_context("spawn")
pytestmark = [
    pytest.mark.processes,
    pytest.mark.skipif(os.name != "posix", reason="signals of this kind are POSIX's"),
]


def pay(url: str, job_id: int, *, dies: bool) -> None:
    """The press of one form, with the key that its page held."""
    engine = make_engine(url)
    with Session(engine) as session, transaction(session):
        if claim_act(session, "the page", "money.pay", None, NOON) is None:
            made = take_payment(Act(session, THE_PROGRAM, NOON), job_id=job_id, amount_minor=20_000, means="card")
            session.flush()
            if dies:
                os.kill(os.getpid(), signal.SIGKILL)
            keep_result(session, "the page", Done(f"/money/payments/{made.id}"))
    engine.dispose()


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def url(request: pytest.FixtureRequest) -> str:
    if request.param == "postgresql":
        return str(request.getfixturevalue("postgres_url"))
    return f"sqlite:///{request.getfixturevalue('book_file').as_posix()}"


def test_a_payment_killed_before_it_was_kept_is_none_and_the_same_press_again_is_one(url: str) -> None:
    engine = make_engine(url)
    with Session(engine) as session, transaction(session):
        make_book(session)
        make_person(session, "Noor", Role.OWNER)
        job_id = make_agreed_job(session, NOON).id
        issue_invoice(Act(session, THE_PROGRAM, NOON), job_id)
    for times in (0, 1):
        if times:
            pay(url, job_id, dies=False)
            pay(url, job_id, dies=False)
        else:
            dead = SPAWN.Process(target=pay, args=(url, job_id), kwargs={"dies": True})
            dead.start()
            dead.join(120)
            assert dead.exitcode == -signal.SIGKILL
        with Session(engine) as session:
            counts = [
                session.scalar(select(func.count()).select_from(table)) for table in (Payment, Allocation, ActKey)
            ]
            assert counts == [times, times, times]
            assert [fault for proof in list_proofs(session) for fault in proof.faults] == []
    engine.dispose()


def shot() -> io.BytesIO:
    target = io.BytesIO()
    Image.effect_noise((1200, 900), 60).convert("RGB").save(target, "JPEG")
    target.seek(0)
    return target


def keep_and_die(folder: Path, body: bytes, files: int) -> None:
    """Keep a photo and be killed as its nth file is about to be synced."""
    synced = [0]

    def die(handle: int) -> None:
        synced[0] += 1
        if synced[0] == files:
            os.kill(os.getpid(), signal.SIGKILL)

    os.fsync = die
    keep_picture(io.BytesIO(body), folder)


@pytest.mark.parametrize("files", [1, 3])
def test_a_photo_killed_as_it_was_written_is_no_photo_and_sent_again_is_whole(tmp_path: Path, files: int) -> None:
    """A kept file is synced, then its folder: the first is the photo's, the third its thumbnail's."""
    body, folder = shot().getvalue(), tmp_path / "pictures"
    dead = SPAWN.Process(target=keep_and_die, args=(folder, body, files))
    dead.start()
    dead.join(120)
    assert dead.exitcode == -signal.SIGKILL
    assert len(list_files(folder)) == files // 2
    kept = keep_picture(io.BytesIO(body), folder)
    for sha256 in (kept.sha256, kept.thumbnail_sha256):
        with Image.open(picture_path(folder, sha256)) as opened:
            opened.load()
    assert len(list_files(folder)) == 2
