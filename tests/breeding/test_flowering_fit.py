"""Small gardens: nothing noted, one note, strangers, facts, mistakes."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.flowering import Flowering, Noted, Waiting, fit
from breeding.flowering.diligence import still_closed, usual_share
from breeding.flowering.spans import spans

USUAL = {"ada": ("TB", 0.2), "bert": ("TB", 0.8), "cleo": ("SDB", 0.5), "dora": ("", None)}


def first(plant: str, year: int, day: float) -> Noted:
    return Noted(plant, year, "first", day)


def first_day(found: Flowering, plant: str, year: int = 2024) -> float:
    """When the plant is expected to open in a year."""
    return float(spans(found, found.layout.at([plant]), year).days[0, 0])


THREE_YEARS = [first("ada", 2021, 140), first("ada", 2022, 148), first("ada", 2023, 143)]


def test_importing__loads_no_numpy() -> None:
    told = "import sys, breeding.flowering; print({'numpy', 'scipy', 'django'} & set(sys.modules))"
    ran = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    assert ran.stdout == "set()\n"


def test_noted__refuses_what_cannot_be() -> None:
    with pytest.raises(ValueError, match="no stage"):
        Noted("ada", 2024, "bud", 12)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="no day"):
        first("ada", 2024, float("nan"))


def test_fit__today_needs_a_year() -> None:
    with pytest.raises(ValueError, match="say which"):
        fit([], USUAL, today=12)


def test_fit__nothing_noted_still_tells_classes_apart() -> None:
    found = fit([], USUAL)
    assert found.place("cleo").first < found.place("ada").first < found.place("bert").first
    assert found.place("ada").high - found.place("ada").low > 300
    assert found.overlap("ada", "cleo", 2024).chance < found.overlap("ada", "bert", 2024).chance
    assert found.shift(2024).plants == 0
    assert found.shift(2024).low < -10 < 10 < found.shift(2024).high
    assert all("usual value" in sentence for sentence in found.told)


def test_fit__no_plants_at_all() -> None:
    found = fit([], {})
    assert found.place("anything").years == 0
    assert found.overlaps([], 2024).shape == (0, 0)


def test_fit__one_note_of_one_year_moves_the_plant_but_little() -> None:
    found = fit([first("ada", 2024, 140)], USUAL)
    shift = found.shift(2024)
    assert shift.seasons == 1
    assert shift.low < -8 < 8 < shift.high
    place = found.place("ada")
    assert place.first == pytest.approx(140, abs=2)
    assert place.high - place.low > 20
    assert place.years == 1


def test_place__strangers_are_what_plants_of_the_garden_may_be() -> None:
    found = fit(THREE_YEARS, USUAL)
    for stranger in ("nobody", "dora", "cleo"):
        place = found.place(stranger)
        assert place.years == 0
        assert place.rests_on[0] == "never noted"
        assert place.high - place.low > found.place("ada").high - found.place("ada").low


def test_place__says_what_it_rests_on() -> None:
    found = fit(THREE_YEARS, USUAL)
    assert found.place("ada").rests_on == (
        "noted in 3 years", "1 noted plant of TB", "its recorded season",
    )  # fmt: skip
    assert found.place("dora").rests_on == ("never noted", "no recorded season")


def test_place__stages_follow_each_other() -> None:
    place = fit([], USUAL).place("ada")
    assert place.first < place.peak < place.last


def test_shift__is_against_the_mean_of_the_seasons_noted() -> None:
    found = fit(THREE_YEARS, USUAL)
    shifts = [found.shift(year).days for year in (2021, 2022, 2023)]
    assert sum(shifts) == pytest.approx(0, abs=1e-9)
    assert shifts[0] < shifts[2] < shifts[1]
    # Nearer to nought than the raw differences.
    assert abs(shifts[1]) < 148 - (140 + 148 + 143) / 3


def test_fit__several_notes_of_one_stage_take_the_outermost() -> None:
    twice = fit([*THREE_YEARS, first("ada", 2023, 149)], USUAL)
    assert twice.place("ada") == fit(THREE_YEARS, USUAL).place("ada")


def test_fit__later_days_of_the_running_year_are_left_out() -> None:
    now = fit([*THREE_YEARS, first("bert", 2023, 170)], USUAL, year=2023, today=150)
    assert now.place("bert").years == 0


def test_still_closed__who_bloomed_lately_and_not_yet() -> None:
    noted = [first("ada", 2022, 140), first("bert", 2023, 150), first("old", 2015, 150)]
    assert still_closed(noted, 2024, 140) == []
    noted.append(first("ada", 2024, 133))
    assert still_closed(noted, 2024, 133) == [Waiting("bert", 2024, 133)]
    # Whoever walks in the evening has not been there today.
    assert still_closed(noted, 2024, 140) == [Waiting("bert", 2024, 139)]


def test_usual_share__counts_whole_years_beside_a_usual_one() -> None:
    assert usual_share([], 2022) == pytest.approx(0.8)
    noted = [first(str(at), year, 1) for at in range(90) for year in (2020, 2021)]
    noted.append(first("0", 2022, 1))
    assert usual_share(noted, 2022) == pytest.approx((8 + 90) / 100)
    assert usual_share(noted, 2023) == pytest.approx((8 + 90 + 1) / 190)


def test_fit__who_was_seen_closed_opens_later() -> None:
    bare = fit(THREE_YEARS, USUAL, year=2024)
    told = fit(THREE_YEARS, USUAL, year=2024, waiting=[Waiting("ada", 2024, 150)])
    assert told.shift(2024).waiting == 1
    assert told.shift(2024).days > bare.shift(2024).days + 2
    assert first_day(told, "ada") > first_day(bare, "ada") + 4
    # Who was noted open is not waited for.
    noted = [*THREE_YEARS, first("ada", 2024, 144)]
    assert fit(noted, USUAL, waiting=[Waiting("ada", 2024, 143)]).shift(2024).waiting == 0


def test_fit__a_plant_that_never_opens_is_no_endless_delay() -> None:
    """Far beyond its time, it is taken as one that does not bloom this year."""
    notes = [first(p, y, 140) for p in ("ada", "bert", "cleo") for y in (2021, 2022, 2023)]
    notes += [first("bert", 2024, 140), first("cleo", 2024, 140)]
    late = fit(notes, USUAL, year=2024, waiting=[Waiting("ada", 2024, 300)])
    assert late.shift(2024).days == pytest.approx(fit(notes, USUAL).shift(2024).days, abs=1)


DAYS = st.lists(
    st.builds(
        Noted,
        st.sampled_from([*USUAL, "else"]),
        st.integers(2020, 2023),
        st.sampled_from(["first", "peak", "last"]),
        st.integers(100, 170).map(float),
    ),
    max_size=12,
)


@settings(max_examples=12, deadline=None)
@given(DAYS, st.randoms(use_true_random=False))
def test_fit__order_of_notes_is_all_one(noted: list[Noted], dice) -> None:
    other = noted.copy()
    dice.shuffle(other)
    one, two = fit(noted, USUAL), fit(other, USUAL)
    for plant in USUAL:
        assert one.place(plant).first == pytest.approx(two.place(plant).first, abs=1e-6)
        assert one.place(plant).low == pytest.approx(two.place(plant).low, abs=1e-6)


@settings(max_examples=12, deadline=None)
@given(DAYS, st.floats(-60, 60))
def test_fit__counting_days_from_elsewhere_moves_all_places(noted: list[Noted], by: float) -> None:
    moved = [replace(each, day=each.day + by) for each in noted]
    one, two = fit(noted, USUAL), fit(moved, USUAL)
    if not noted:
        return
    for plant in USUAL:
        assert one.place(plant).first + by == pytest.approx(two.place(plant).first, abs=1e-5)
    assert one.shift(2021).days == pytest.approx(two.shift(2021).days, abs=1e-5)


@settings(max_examples=12, deadline=None)
@given(DAYS)
def test_overlaps__are_chances_and_the_same_both_ways(noted: list[Noted]) -> None:
    found = fit(noted, USUAL).overlaps(list(USUAL), 2021)
    assert found == pytest.approx(found.T)
    assert ((found >= 0) & (found <= 1)).all()
    assert (found.diagonal() == 1).all()
