from __future__ import annotations

import pytest

from garden.finding import Names, find_keys, find_plants, names, the_plant
from garden.models import Garden, Plant
from garden.records import add_plant, change_plant, strike_plant

HELD = Names(
    1,
    ("blue teapot", "moss semaphore", "oboe for hannes", "q 17-3", "teapot", "teapot waltz"),
    (10, 20, 30, 40, 50, 60),
)


def test_find_keys__nothing_asked() -> None:
    assert find_keys("  ' ", HELD) == []


def test_find_keys__no_plants() -> None:
    assert find_keys("teapot", Names(1, (), ())) == []


def test_find_keys__beginnings_first_then_words_then_anywhere() -> None:
    assert find_keys("teapot", HELD) == [50, 60, 10]
    assert find_keys("pot", HELD)[:3] == [50, 10, 60]


def test_find_keys__no_more_than_asked() -> None:
    assert find_keys("teapot", HELD, most=1) == [50]


def test_find_keys__case_accents_and_quotes_do_not_matter() -> None:
    assert find_keys("“Óboe” FOR", HELD)[0] == 30


@pytest.mark.parametrize("typed", ["semaphore", "moss semafore", "mos semaphore", "mosss", "omss"])
def test_find_keys__forgives_a_slip(typed: str) -> None:
    assert find_keys(typed, HELD)[0] == 20


def test_find_keys__forgives_nothing_in_two_letters() -> None:
    assert find_keys("xq", HELD) == []


def test_find_keys__nothing_alike() -> None:
    assert find_keys("zzzzzz", HELD) == []


def test_find_keys__never_twice_the_same() -> None:
    keys = find_keys("teapot", HELD)
    assert len(set(keys)) == len(keys)


def test_find_keys__endless_text() -> None:
    assert find_keys("teacup " * 10_000, HELD) == []


def test_names__read_once_for_each_version(stock, django_assert_num_queries) -> None:
    version = Garden.objects.get().stock_version
    with django_assert_num_queries(1):
        first = names(version)
        assert names(version) is first
    with django_assert_num_queries(2):
        find_plants("teapot", version=version + 1)


def test_find_plants__new_renamed_and_struck(act, stock) -> None:
    assert find_plants("teapot") == [stock.teapot]
    other = add_plant(act(), name="Teapot Waltz").thing
    assert find_plants("teapot") == [other, stock.teapot]
    change_plant(act(), plant=other, name="Kettle Waltz")
    assert find_plants("teapot waltz")[:1] != [stock.teapot]
    strike_plant(act(), plant=other, reason="")
    assert find_plants("kettle") == []


def test_find_plants__by_number(stock) -> None:
    assert find_plants("q 17") == [stock.guest]


def test_the_plant__whole_name_though_others_begin_so(act, stock) -> None:
    add_plant(act(), name="Quillon Teapot Two")
    assert the_plant("quillon teapot") == stock.teapot


def test_the_plant__the_only_one_that_could_be_meant(stock) -> None:
    assert the_plant("hannes") == stock.oboe


def test_the_plant__more_than_one(act, stock) -> None:
    add_plant(act(), name="Teapot Waltz")
    assert the_plant("teapot") is None


@pytest.mark.parametrize("typed", ["", "zzzz"])
def test_the_plant__none(stock, typed: str) -> None:
    assert the_plant(typed) is None


def test_the_plant__bare_garden(bare) -> None:
    assert the_plant("teapot") is None
    assert not Plant.objects.exists()
