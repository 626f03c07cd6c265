"""An act pressed and undone as the edge does it: a key claimed, its rows kept, the result beside it."""

import secrets
from collections.abc import Callable

from shopbook.models.recording import recorded
from shopbook.services.act import Act
from shopbook.services.shop.acts import Done, claim_act, keep_result
from shopbook.services.undo.kept_rows import keep_rows
from shopbook.services.undo.undo import Undone, undo_act


def press(act: Act, service: Callable[[Act], object]) -> str:
    """Do an act; answers its key."""
    key = secrets.token_hex(16)
    assert claim_act(act.session, key, "a.press", act.actor.person_id, act.moment) is None
    with recorded(act.session) as recording:
        service(act)
        can_undo = keep_rows(act.session, key, recording, act.moment)
    keep_result(act.session, key, Done("/", "", key if can_undo else ""))
    return key


def take_back(act: Act, key: str) -> Undone:
    """Undo an act; its own key is kept as that of any other."""
    own = secrets.token_hex(16)
    claim_act(act.session, own, "shop.undo", act.actor.person_id, act.moment)
    undone = undo_act(act, key)
    keep_result(act.session, own, Done("/"), undoes=key)
    return undone
