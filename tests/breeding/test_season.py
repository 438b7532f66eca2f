from __future__ import annotations

from breeding.records import harvest, record_pollination
from breeding.season import by_parent, funnel, seasons
from garden.models import JournalLine
from garden.records import undo


def test_funnel__the_whole_season(cast, django_assert_num_queries) -> None:
    with django_assert_num_queries(1):
        sums = funnel(2024)
    assert sums.crosses == 2
    assert [(name, count) for name, _, count in sums.steps] == [
        ("flowers", 3), ("pods", 1), ("seeds", 40), ("sown", 30), ("up", 18), ("lined_out", 12),
    ]  # fmt: skip
    assert (sums.failed, sums.looked_at) == (1, 2)


def test_funnel__more_of_it(act, cast) -> None:
    harvest(act(), pollination=cast.bee_flower, seeds=7)
    assert (funnel(2024).pods, funnel(2024).seeds) == (2, 47)


def test_funnel__a_season_without_crosses(bare) -> None:
    assert funnel(2024).crosses == 0
    assert {count for _, _, count in funnel(2024).steps} == {0}


def test_by_parent__seed_side(cast, django_assert_num_queries) -> None:
    with django_assert_num_queries(1):
        rows = list(by_parent(2024, "seed"))
    assert [(row["plant_id"], row["crosses"], row["flower_sum"]) for row in rows] == [
        (cast.teapot.pk, 1, 2), (cast.postman.pk, 1, 1),
    ]  # fmt: skip
    first = rows[0]
    assert first["plant_name"] == "Quillon Teapot"
    assert (first["pod_sum"], first["failed_sum"], first["seed_sum"]) == (1, 1, 40)
    assert (first["up_sum"], first["out_sum"]) == (18, 12)


def test_by_parent__pollen_side_leaves_bee_pods_out(cast) -> None:
    assert [row["plant_id"] for row in by_parent(2024, "pollen")] == [cast.ledger.pk]


def test_by_parent__number_where_there_is_no_name(act, cast) -> None:
    record_pollination(act(), seed_parent=cast.guest, pollen_parent=cast.oboe, tag=cast.free_tag)
    assert [row["plant_name"] for row in by_parent(2026, "seed")] == ["Q 17-3"]


def test_by_parent__no_more_than_asked(cast) -> None:
    assert len(list(by_parent(2024, "seed", most=1))) == 1


def _years(**asked) -> list[int]:
    return [year for year, _ in seasons(**asked)]


def test_seasons__newest_first_without_those_taken_back(act, cast) -> None:
    assert seasons() == [(2024, funnel(2024))]
    pair = {"seed_parent": cast.guest, "pollen_parent": cast.oboe}
    record_pollination(act(), **pair, tag=cast.free_tag)
    assert _years() == [2026, 2024]
    undo(act(), line=JournalLine.objects.first())
    assert _years() == [2024]


def test_seasons__some_years_at_a_time(act, cast) -> None:
    pair = {"seed_parent": cast.guest, "pollen_parent": cast.oboe}
    record_pollination(act(), **pair, tag=cast.free_tag)
    assert _years(most=2) == [2026]
    assert _years(before=2026) == _years(before=2025, most=1) == [2024]


def test_seasons__none(bare) -> None:
    assert seasons() == []
