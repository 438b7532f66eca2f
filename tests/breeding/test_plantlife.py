from __future__ import annotations

from datetime import date

from breeding.plantlife import plant_events, plant_steps
from breeding.records import note_pod, record_pollination
from evaluation.records import select_seedling
from garden.calendar import GardenCalendar
from garden.models import Plant
from garden.records import place_plant
from tests.cast import HARVESTED, IN_BLOOM, LINED_OUT, LOOKED, PRINTED, WORKED

CALENDAR = GardenCalendar()


def told(plant: Plant, origin=None) -> list[tuple[str, str, str]]:
    placings = list(plant.placings.all())
    return [
        (f"{event.day:%Y}" if event.year_only else f"{event.day}", event.text, event.detail)
        for event in plant_events(plant, origin, placings)
    ]


def test_plant_events__introduced_added_placed_and_crossed(act, cast) -> None:
    place_plant(act(day=WORKED), plant=cast.teapot, bed=cast.bed, position="4", increases=3)
    assert told(cast.teapot) == [
        ("1998", "Introduced", ""),
        (f"{PRINTED}", "Added to the stock", "by Wanda"),
        (f"{WORKED}", "Stands in Long Bed 4", "3 increases"),
        ("2024", "1 cross as seed parent", "2 flowers, 1 pod, 40 seeds, 12 seedlings"),
    ]


def test_plant_events__crosses_of_a_season_together(act, cast) -> None:
    for pollen, tag in [(cast.oboe, 3), (cast.guest, 4)]:
        pair = {"seed_parent": cast.teapot, "pollen_parent": pollen}
        record_pollination(act(day=WORKED), **pair, tag=cast.tags[tag])
    assert told(cast.teapot)[-1][1] == "3 crosses as seed parent"
    assert told(cast.guest)[-1] == ("2024", "1 cross as pollen parent", "1 flower")


def test_plant_events__of_a_seedling_selected_here(act, cast) -> None:
    seedling = select_seedling(act(), row=cast.row, position=3, reason="wide falls").thing
    events = plant_events(seedling.plant, seedling, [])
    assert events[0].things == [cast.cross, cast.flower]
    assert [event.text for event in events] == [
        "1 flower worked", "1 pod set", "40 seeds from 1 pod", "30 seeds sown",
        "18 seedlings standing", "12 seedlings lined out", "1 seedling selected",
    ]  # fmt: skip
    assert told(cast.ledger)[-1] == ("2026", "1 seedling selected from it", "")


def test_plant_events__as_many_queries_however_many_crosses(
    act, cast, django_assert_num_queries
) -> None:
    with django_assert_num_queries(4):
        plant_events(cast.teapot, None, [])
    pair = {"seed_parent": cast.teapot, "pollen_parent": cast.oboe}
    record_pollination(act(), **pair, tag=cast.free_tag)
    with django_assert_num_queries(4):
        plant_events(cast.teapot, None, [])


def steps(plant: Plant, today: date) -> list[tuple[date, str, str]]:
    return [(step.day, step.key, step.text) for step in plant_steps(plant, CALENDAR, today)]


def test_plant_steps__open_pods_on_it_and_of_its_pollen(act, cast) -> None:
    assert steps(cast.postman, WORKED) == [
        (date(2024, 6, 21), "due-look", "Look at 1 flower worked on it")
    ]
    pair = {"seed_parent": cast.guest, "pollen_parent": cast.postman}
    flower = record_pollination(act(day=WORKED), **pair, tag=cast.free_tag).thing
    note_pod(act(day=LOOKED), pollination=flower, pod_set=True)
    assert steps(cast.postman, LOOKED) == [
        (date(2024, 6, 21), "due-look", "Look at 1 flower worked on it"),
        (date(2024, 7, 27), "due-harvest", "Harvest 1 pod of its pollen"),
    ]


def test_plant_steps__nothing_when_pods_are_harvested_or_forgotten(cast) -> None:
    assert steps(cast.teapot, HARVESTED) == []
    assert steps(cast.postman, LINED_OUT) == steps(cast.postman, IN_BLOOM) == []


def test_plant_steps__across_the_turn_of_the_year(act, cast) -> None:
    late = date(2025, 12, 1)
    pair = {"seed_parent": cast.guest, "pollen_parent": cast.oboe}
    record_pollination(act(day=late), **pair, tag=cast.free_tag)
    assert [key for _, key, _ in steps(cast.guest, date(2026, 1, 5))] == ["due-look"]
