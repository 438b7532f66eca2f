"""Bloom and pollen in the demo garden's story: who is open when, what is noted and put by."""

from __future__ import annotations

from collections import defaultdict
from datetime import date
from itertools import pairwise

import pytest

from tests.evaluation.demo_story import TODAY, Watched


@pytest.fixture(scope="module")
def story() -> Watched:
    return Watched()


def test_story__flowers_are_worked_while_they_are_open(story):
    for cross in story.planned:
        own = story.spring.span(cross.seed, cross.day.year)
        assert own.first < cross.day < own.last
        if cross.pollen and not cross.jar and cross.pollen is not cross.seed:
            theirs = story.spring.span(cross.pollen, cross.day.year)
            assert theirs.first <= cross.day
            assert (cross.day - theirs.last).days <= 2


def test_story__other_pollen_was_put_by_before(story):
    stored = {step.key: step.values["day"] or step.at.date() for step in story.of("store_pollen")}
    ended = {step.values["pollen"].key: step.at.date() for step in story.of("finish_pollen")}
    jarred = [cross for cross in story.planned if cross.jar and cross.day < TODAY]
    assert {cross.jar for cross in jarred} == {"this", "last"}
    for cross in jarred:
        key = f"jar:{cross.day.year - (cross.jar == 'last')}:{cross.pollen.key}"
        assert stored[key] < cross.day
        assert ended.get(key, TODAY) >= cross.day
    assert {step.values["reason"] for step in story.of("finish_pollen")} == {"used up", "too old"}
    assert len(stored) > len(ended)


def test_story__bloom_is_noted_in_part_and_in_order(story):
    taps: defaultdict[tuple[object, int], dict[str, date]] = defaultdict(dict)
    for step in story.of("note_bloom"):
        taps[step.values["plant"], step.at.year][step.values["stage"]] = step.at.date()
    plants = {plant for plant, _ in taps}
    assert 35 <= len(plants) <= 60
    assert len(taps) < 6 * len(plants) * 0.8
    assert len({tuple(sorted(days)) for days in taps.values()}) >= 5
    worked: defaultdict[tuple[object, int], list[date]] = defaultdict(list)
    for step in story.of("record_pollination"):
        worked[step.values["seed_parent"], step.at.year].append(step.at.date())
    for key, days in taps.items():
        told = [days[stage] for stage in ("first", "peak", "last") if stage in days]
        assert all(one <= other for one, other in pairwise(told))
        assert all(days.get("first", day) <= day <= days.get("last", day) for day in worked[key])


def test_story__a_late_year_is_late_for_all(story):
    plants = [each for each in story.parents.values() if each.key.startswith("plant:")]
    late = {year: story.spring.weather(year)[1] for year in range(2021, 2027)}
    assert len(set(late.values())) >= 3
    for plant in plants[:40]:
        usual = {
            (story.spring.span(plant, year).peak - date(year, 1, 1)).days
            - late[year] - (year % 4 == 0)
            for year in late
        }  # fmt: skip
        assert len(usual) == 1
