"""The fertility held in memory is read again when a count or a parent has moved."""

from __future__ import annotations

from breeding.fertile import the_fertility
from breeding.models import Cross


def pollens() -> dict:
    return {each.seed: each.pollen for each in the_fertility().attempts}


def test_fertility_in_memory__is_the_same_until_something_moves(cast) -> None:
    assert the_fertility() is the_fertility()


def test_fertility_in_memory__sees_pollen_parents_that_changed_places(cast) -> None:
    one, other = (Cross.live.filter(pk=each.pk) for each in (cast.cross, cast.bee_cross))
    one.update(seed_parent=cast.teapot, pollen_parent=cast.ledger, pods=1)
    other.update(seed_parent=cast.guest, pollen_parent=cast.teapot, pollen_unknown=False, pods=1)
    before = pollens()
    one.update(pollen_parent=cast.teapot)
    other.update(pollen_parent=cast.ledger)
    assert pollens() == {cast.teapot.pk: cast.teapot.pk, cast.guest.pk: cast.ledger.pk} != before
