"""The truth behind the demo garden's marks: how it is handed on, and what scorers make of it."""

from __future__ import annotations

import json
import random
from statistics import correlation, fmean, stdev, variance

import pytest
from django.conf import settings

from evaluation.demo.cast import Cast
from evaluation.demo.scorers import (
    Scorer,
    Sight,
    calls,
    counted_stalk,
    mark,
    marks,
    percent,
    place_effect,
    season_effect,
    sight,
    the_scorers,
)
from evaluation.demo.truth import TRAITS, Sockets, Truth, Truths, drawn, raised, stalk_of
from evaluation.stalk import parse_stalk

SEED = "20-2021"
LEVEL = dict.fromkeys(("plant", "stalk", "flower", "distinct"), 0.0)
EXACT = Scorer("Exact", 0, 0, 0, 0, 0)
CAST = Cast.read(settings.BASE_DIR / "fixtures" / "demo")


def truths() -> Truths:
    return Truths(CAST, SEED)


def brood(count: int = 1500) -> list[Truth]:
    """Seedlings of one pair, as they stand in one row."""
    known = truths()
    return [
        known.of_seedling("plant:Lamplit Colander", "plant:Herring Weather", "row:9", at)
        for at in range(count)
    ]


def plant_of(level: float) -> Truth:
    """A plant that is so many standard deviations above the mean in everything."""
    values = dict.fromkeys(TRAITS, level)
    return Truth(values, values)


def test_truths__do_not_depend_on_the_order_of_asking():
    one, other = truths(), truths()
    labels = [f"plant:{row['name'] or row['number']}" for row in CAST.rows]
    there = {label: one.of_plant(label) for label in labels}
    back = {label: other.of_plant(label) for label in reversed(labels)}
    assert there == back


def test_truths__another_story_has_other_plants():
    key = "plant:Lamplit Colander"
    assert truths().of_plant(key) != Truths(CAST, "21-2021").of_plant(key)


def test_raised__children_scatter_about_the_mean_of_their_parents():
    known = truths()
    parents = [known.of_plant(f"plant:{name}") for name in ("Lamplit Colander", "Herring Weather")]
    children = brood()
    for key in TRAITS:
        middle = fmean(parent.genetic[key] for parent in parents)
        values = [child.genetic[key] for child in children]
        assert fmean(values) == pytest.approx(middle, abs=0.08), key
        assert variance(values) == pytest.approx(0.5, abs=0.08), key


def test_raised__unknown_pollen_parent_widens_the_brood():
    mother = truths().of_plant("plant:Lamplit Colander").genetic
    dice = random.Random(4)
    values = [raised(dice, drawn(dice), mother, None).genetic["form"] for _ in range(1500)]
    assert fmean(values) == pytest.approx(mother["form"] / 2, abs=0.1)
    assert variance(values) == pytest.approx(0.75, abs=0.1)


def test_raised__what_lasts_follows_the_genes_as_far_as_they_are_inherited():
    dice = random.Random(5)
    plants = [raised(dice, drawn(dice), None, None) for _ in range(3000)]
    for trait in TRAITS.values():
        genes = [plant.genetic[trait.key] for plant in plants]
        lasting = [plant.lasting[trait.key] for plant in plants]
        assert correlation(genes, lasting) ** 2 == pytest.approx(trait.heritability, abs=0.06)
        assert stdev(lasting) == pytest.approx(1, abs=0.08)


def test_drawn__criteria_of_a_group_go_together():
    dice = random.Random(6)
    values = [drawn(dice) for _ in range(3000)]

    def together(one: str, other: str) -> float:
        return correlation([each[one] for each in values], [each[other] for each in values])

    assert together("form", "substance") > together("form", "vigour") > 0.05
    assert together("form", "novelty") < 0


def test_truth__dwarfs_are_lower_branched():
    known = truths()
    stalks: dict[str, list[Sockets]] = {}
    for row in CAST.rows:
        truth = known.of_plant(f"plant:{row['name'] or row['number']}")
        stalks.setdefault(row["class"], []).append(truth.stalk())
    sites = {
        name: fmean(len(stalk.branches) + len(stalk.spurs) for stalk in each)
        for name, each in stalks.items()
    }
    assert sites["SDB"] < sites["TB"] - 1
    assert fmean(s.buds for s in stalks["SDB"]) < fmean(s.buds for s in stalks["TB"]) - 1


def test_traits__have_the_scales_and_weights_of_the_full_rubric():
    file = settings.BASE_DIR / "fixtures" / "rubrics" / "full_hundred.json"
    criteria = json.loads(file.read_text(encoding="utf-8"))["criteria"]
    told = {c["key"]: (c["group"], c["weight"], c["least"], c["full"]) for c in criteria}
    assert told == {t.key: (t.group, t.weight, t.least, t.full) for t in TRAITS.values()}


@pytest.mark.parametrize("sites", range(-1, 8))
@pytest.mark.parametrize("buds", [0, 3, 6, 9, 14, 30])
def test_stalk_of__is_one_that_can_be_written_down(sites, buds):
    stalk = stalk_of(sites, buds)
    read = parse_stalk(str(stalk))
    assert read.buds == stalk.buds
    assert len(read.branches) + len(read.spurs) == min(max(sites, 0), 6)
    assert min(stalk.terminal, *stalk.branches, *stalk.spurs, 9) >= 1


def test_merit__better_in_everything_earns_more():
    points = [plant_of(level).merit for level in (-2, -1, 0, 1, 2)]
    assert points == sorted(points)
    assert 40 < points[2] < 65
    assert 0 <= points[0] < points[4] <= 100


def test_season_effect__one_season_in_four_is_bad():
    bad = [season_effect(SEED, year)["plant"] < -0.45 for year in range(2020, 2040)]
    assert sum(bad) == 5
    assert sum(bad[3:7]) == 1


def test_place_effect__differs_between_rows_and_stays():
    rows = [place_effect(SEED, "Hen Yard Field", row)["plant"] for row in range(1, 40)]
    assert 0.2 < stdev(rows) < 0.6
    assert rows[0] == place_effect(SEED, "Hen Yard Field", 1)["plant"]


def test_scorers__the_owner_is_strict_and_a_helper_generous():
    dice = random.Random(7)
    children = brood(300)
    means = []
    for scorer in the_scorers(CAST.owner, CAST.helpers):
        seen = Sight(scorer, LEVEL)
        values = [mark(dice, child, "form", seen) for child in children]
        means.append(fmean(value for value in values if value is not None))
    strict, generous, middling = means
    assert strict < middling - 0.2
    assert generous > middling + 0.2


def test_mark__without_any_error_is_what_the_plant_is():
    seen = Sight(EXACT, LEVEL)
    dice = random.Random(8)
    for level, form, increase, novelty in (
        (-9, 0, 0, 0),
        (0, 3, 3, 0),
        (1, 4, 4, 1),
        (9, 5, 13, 2),
    ):
        truth = plant_of(level)
        assert mark(dice, truth, "form", seen) == form
        assert mark(dice, truth, "increase", seen) == pytest.approx(increase, abs=1)
        assert mark(dice, truth, "novelty", seen) == novelty


def test_mark__a_bad_season_takes_from_it():
    dice = random.Random(9)
    bad = Sight(EXACT, LEVEL | {"plant": -1.2})
    assert mark(dice, plant_of(0), "vigour", bad) < mark(
        dice, plant_of(0), "vigour", Sight(EXACT, LEVEL)
    )
    assert mark(dice, plant_of(0), "form", bad) == mark(
        dice, plant_of(0), "form", Sight(EXACT, LEVEL)
    )


def test_marks__a_halo_draws_criteria_together():
    children = brood(800)

    def together(halo: float) -> float:
        dice = random.Random(10)
        scorer = Scorer("Halo", 0, 0.3, halo, 0, 0)
        given = [
            marks(dice, child, ("vigour", "colour"), Sight(scorer, LEVEL)) for child in children
        ]
        return correlation([each["vigour"] for each in given], [each["colour"] for each in given])

    assert together(0.5) > together(0) + 0.1


def test_marks__some_are_left_out_and_none_is_what_the_stalk_tells():
    dice = random.Random(11)
    forgetful = Scorer("Forgetful", 0, 0.3, 0, 0, 0.3)
    given = [marks(dice, plant_of(0), TRAITS, Sight(forgetful, LEVEL)) for _ in range(300)]
    missing = sum(value is None for each in given for value in each.values())
    assert missing / (300 * len(given[0])) == pytest.approx(0.3, abs=0.05)
    assert not {"buds", "branching"} & set(given[0])


def test_counted_stalk__is_now_and_then_one_bud_wrong():
    dice = random.Random(12)
    hasty = Sight(Scorer("Hasty", 0, 1, 0, 0, 0), LEVEL)
    true = plant_of(0).stalk().buds
    off = [abs(counted_stalk(dice, plant_of(0), hasty).buds - true) for _ in range(400)]
    assert set(off) == {0, 1}
    assert 0.1 < fmean(off) < 0.35


def test_calls__the_better_ones_are_called_more_often():
    dice = random.Random(13)
    scorer = the_scorers(CAST.owner, CAST.helpers)[1]
    shares = [
        sum(calls(dice, plant_of(level), sight(dice, scorer, SEED, 2026, ("Row", 1)), 1.0)
            for _ in range(300))
        for level in (-1, 0, 1)
    ]  # fmt: skip
    assert shares[0] < shares[1] < shares[2]


def test_percent__follows_the_truth():
    dice = random.Random(14)
    children = brood(300)
    seen = Sight(Scorer("Fair", 0, 0.4, 0.1, 0.2, 0.02), LEVEL)
    told = [
        percent(marks(dice, child, TRAITS, seen), counted_stalk(dice, child, seen))
        for child in children
    ]
    assert correlation(told, [child.merit for child in children]) > 0.8


def test_percent__of_both_rubrics_goes_from_nothing_to_full():
    best = dict.fromkeys(TRAITS, 5.0) | {"novelty": 2.0}
    assert percent(best, stalk_of(4, 10)) == 100
    assert percent(dict.fromkeys(TRAITS, 0.0), None) == 0
    walk = {"plant": 5.0, "stalk": 5.0, "buds_seen": 10.0, "flower": 5.0, "novelty": 2.0}
    assert percent(walk, None) == 100
    assert percent({}, None) == 50
