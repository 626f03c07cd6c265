"""Sharing a sum out over rests so that no share passes its rest."""

from collections.abc import Sequence


def share_within(total: int, rests: Sequence[int]) -> list[int]:
    """`total` (between zero and the sum of `rests`, none negative) in proportion, each part at most its rest.

    Parts are cut down to whole units; the units left over go one each to the largest cut, the first of equals.
    Raises ValueError for a total outside that range.
    """
    whole = sum(rests)
    if not 0 <= total <= whole:
        raise ValueError(f"{total} cannot be shared within {whole}")
    if whole == 0:
        return [0] * len(rests)
    parts = [total * rest // whole for rest in rests]
    by_cut = sorted(range(len(rests)), key=lambda place: (-(total * rests[place] % whole), place))
    for place in by_cut[: total - sum(parts)]:
        parts[place] += 1
    return parts
