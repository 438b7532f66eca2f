"""Merit from scores: against a plain dense solution, at the edges, and where truth is known."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.pedigree import Pedigree
from breeding.pedigree.factors import factors
from evaluation.ranking.kin import Unit, family
from evaluation.ranking.mixed import Components, NotSolvable
from evaluation.ranking.ranking import Judgements, _equations, rank
from evaluation.ranking.reml import flat, gradient, unflat
from evaluation.ranking.telling import Ranking

TRUE = Components(additive=9.0, own=4.0, groups=(9.0, 2.0), residual=12.0)


@dataclass(frozen=True)
class World:
    """Scores of seedlings whose true merit, beside the mean, is known."""

    pedigree: Pedigree
    units: list[Unit]
    true: np.ndarray
    judgements: Judgements
    of_scorers: np.ndarray


def grow(seed: int, crosses: int, sibs: int, scorers: int = 6, rows: int = 12) -> World:
    """Three generations of tetraploid parents, and seedlings judged one to three times."""
    dice = np.random.default_rng(seed)
    parents, value, generations = {}, {}, []
    for generation in range(3):
        plants = [(generation, at) for at in range(24)]
        for plant in plants:
            pair, mean, part = (None, None), 0.0, 1.0
            if generation:
                one, two = dice.choice(24, 2, replace=False)
                pair = (generations[-1][one], generations[-1][two])
                mean, part = (value[pair[0]] + value[pair[1]]) / 2, 0.5
            parents[plant] = pair
            value[plant] = mean + dice.normal(0, np.sqrt(part * TRUE.additive))
        generations.append(plants)
    units, true = [], []
    for cross in range(crosses):
        one, two = dice.choice(24, 2, replace=False)
        pair = generations[-1][one], generations[-2][two]
        for sib in range(sibs):
            units.append(Unit(("of cross", cross, sib), None, *pair))
            spread = np.sqrt(TRUE.additive / 2 + TRUE.own)
            true.append((value[pair[0]] + value[pair[1]]) / 2 + dice.normal(0, spread))
    unit = np.repeat(np.arange(len(units)), dice.choice([1, 1, 2, 3], len(units)))
    scorer, season = dice.integers(0, scorers, len(unit)), dice.integers(0, 4, len(unit))
    place = unit * rows // len(units)
    strict = dice.normal(0, np.sqrt(TRUE.groups[0]), scorers)
    points = 60 + np.array(true)[unit] + strict[scorer] + dice.normal(0, 5, 4)[season]
    points += dice.normal(0, np.sqrt(TRUE.groups[1]), rows)[place]
    points += dice.normal(0, np.sqrt(TRUE.residual), len(unit))
    judgements = Judgements(points, unit, scorer, season, place, np.ones(len(unit)))
    return World(Pedigree(parents, ploidy=4), units, np.array(true), judgements, strict)


@pytest.fixture(scope="module")
def world() -> World:
    return grow(5, crosses=60, sibs=14)


@pytest.fixture(scope="module")
def ranking(world: World) -> Ranking:
    return rank(world.judgements, world.units, world.pedigree)


def test_rank__beats_plain_means(world: World, ranking: Ranking) -> None:
    by_model, by_mean = (np.corrcoef(v, world.true)[0, 1] for v in (ranking.merit, ranking.plain))
    assert by_model > by_mean + 0.1
    best = len(world.units) // 20
    chosen = [world.true[np.argsort(-v)[:best]].mean() for v in (ranking.merit, ranking.plain)]
    assert chosen[0] > chosen[1]


def test_rank__intervals_hold_the_truth_nine_times_in_ten() -> None:
    """Over twelve gardens; within one the errors of sibs hang together."""
    held = []
    for seed in range(12):
        garden = grow(100 + seed, crosses=40, sibs=8)
        told = rank(garden.judgements, garden.units, garden.pedigree)
        true = garden.true + told.mean
        held.append(((told.low <= true) & (true <= told.high)).mean())
    assert 0.87 < np.mean(held) < 0.93


def test_rank__finds_the_components_again(ranking: Ranking) -> None:
    assert ranking.errors_of_components is not None
    for found, error, true in zip(
        flat(ranking.components), ranking.errors_of_components, flat(TRUE), strict=True
    ):
        assert abs(found - true) < 3.5 * error


def test_rank__tells_strict_scorers_from_mild_ones(world: World, ranking: Ranking) -> None:
    true = world.of_scorers - world.of_scorers.mean()
    found = ranking.of_scorers.values - ranking.of_scorers.values.mean()
    assert np.corrcoef(true, found)[0, 1] > 0.95


def test_rank__more_scores_make_it_surer(ranking: Ranking) -> None:
    once, often = ranking.reliability[ranking.judged == 1], ranking.reliability[ranking.judged == 3]
    assert often.mean() > once.mean() + 0.1


def test_rank__a_parent_of_many_judged_is_known_better(world: World, ranking: Ranking) -> None:
    judged = {unit.seed_parent for unit in world.units}
    of = dict(zip(ranking.worths.plants, ranking.worths.reliability, strict=True))
    founders = [key for key in of if key[0] == 0]
    assert np.mean([of[key] for key in judged]) > np.mean([of[key] for key in founders])


def dense(world: World, components: Components) -> np.ndarray:
    """Merit beside the mean by the plain formula, every seedling in one great pedigree."""
    plants = world.pedigree.keys()
    held = {key: world.pedigree.parents(key) for key in plants}
    held |= {unit.key: unit.parents for unit in world.units}
    whole = factors(Pedigree(held, ploidy=4))
    a = np.linalg.inv(whole.inverse().toarray())
    at = [whole.keys.index(unit.key) for unit in world.units]
    j, n = world.judgements, len(world.judgements.value)
    z = np.eye(len(at))[j.unit]
    kin = a[np.ix_(at, at)] * components.additive + np.eye(len(at)) * components.own
    v = z @ kin @ z.T + np.eye(n) * components.residual
    for names, variance in zip((j.scorer, j.place), components.groups, strict=True):
        v += variance * (names[:, None] == names[None, :])
    x = (j.season[:, None] == np.unique(j.season)[None, :]).astype(float)
    inverse = np.linalg.inv(v)
    fixed = np.linalg.solve(x.T @ inverse @ x, x.T @ inverse @ j.value)
    return kin @ z.T @ inverse @ (j.value - x @ fixed)


def test_rank__equals_the_plain_dense_solution() -> None:
    small = grow(9, crosses=6, sibs=4)
    told = rank(small.judgements, small.units, small.pedigree, components=TRUE)
    assert told.merit - told.mean == pytest.approx(dense(small, TRUE), abs=1e-8)


def test_gradient__is_the_slope_of_the_likelihood() -> None:
    small = grow(9, crosses=6, sibs=4)
    equations = _equations(small.judgements, family(small.units, small.pedigree))
    at, step = np.log(flat(TRUE)), 1e-5
    told = gradient(equations, equations.solve(TRUE))
    for which in range(len(at)):
        beside = [at.copy(), at.copy()]
        beside[0][which] += step
        beside[1][which] -= step
        up, down = (equations.solve(unflat(np.exp(x))).minus_two_log for x in beside)
        assert told[which] == pytest.approx((up - down) / (2 * step), rel=1e-4, abs=1e-4)


def few(values: list[float], **more: list[int]) -> Judgements:
    n = len(values)
    names = {name: np.array(more.get(name, [0] * n)) for name in
             ("unit", "scorer", "season", "place")}  # fmt: skip
    return Judgements(np.array(values, dtype=float), weight=np.ones(n), **names)


NOBODY = Pedigree({})


def test_rank__one_seedling_once() -> None:
    told = rank(few([70.0]), [Unit("a")], NOBODY)
    assert told.merit[0] == pytest.approx(70)
    assert told.low[0] < 70 < told.high[0]
    assert "1 seedling judged" in told.warnings[0]


def test_rank__all_alike() -> None:
    told = rank(few([70.0] * 40, unit=list(range(40))), [Unit(at) for at in range(40)], NOBODY)
    assert told.merit == pytest.approx(np.full(40, 70.0))


def test_rank__not_judged_is_predicted_from_its_sibs() -> None:
    garden = Pedigree({"p": (None, None), "q": (None, None), "r": (None, None)})
    units = [Unit(1, None, "p", "q"), Unit(2, None, "r", "r"), Unit(3, None, "p", "q")]
    told = rank(few([80.0, 60.0], unit=[0, 1]), units, garden)
    assert told.judged.tolist() == [1, 1, 0]
    assert told.mean < told.merit[2] < told.merit[0]
    assert told.reliability[2] < told.reliability[0]
    assert np.isnan(told.plain[2])


def test_rank__parents_that_cannot_have_seedlings_count_as_unknown() -> None:
    garden = Pedigree({"p": (None, None), "q": (None, None)}, ploidy={"p": 1, "q": 4})
    told = rank(few([80.0, 60.0], unit=[0, 1]), [Unit(1, None, "p", "q"), Unit(2)], garden)
    assert np.isfinite(told.merit).all()


def test_rank__clone_has_the_worth_of_its_parent() -> None:
    garden = Pedigree(
        {"p": (None, None), "c": ("p", None)}, ploidy=4, gametes={"c": ((4, 0.0), (0, 0.0))}
    )
    told = rank(few([80.0, 60.0], unit=[0, 1]), [Unit(1, plant="c"), Unit(2)], garden)
    of = dict(zip(told.worths.plants, told.worths.values, strict=True))
    assert of["c"] == pytest.approx(of["p"], rel=1e-3)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"value": np.array([np.nan])}, "no number"),
        ({"weight": np.array([0.0])}, "weighs something"),
        ({"unit": np.array([7])}, "none of the units"),
    ],
)
def test_rank__nonsense_gets_a_sentence(change: dict[str, np.ndarray], said: str) -> None:
    with pytest.raises(NotSolvable, match=said):
        rank(replace(few([70.0]), **change), [Unit("a")], NOBODY)


def test_rank__nothing_scored() -> None:
    with pytest.raises(NotSolvable, match="Nothing is scored"):
        rank(few([]), [], NOBODY)


@st.composite
def pedigrees(draw: st.DrawFn) -> Pedigree:
    """Up to twelve plants of two or four sets; selfings and unknown parents among them."""
    sets = draw(st.sampled_from([2, 4]))
    parents = {}
    for plant in range(draw(st.integers(1, 12))):
        older = st.sampled_from([None, *range(plant)])
        parents[plant] = (draw(older), draw(older))
    return Pedigree(parents, sets, draw(st.sampled_from([0.0, 1 / 7])) if sets == 4 else 0.0)


@given(pedigrees())
@settings(max_examples=60)
def test_factors__are_those_of_the_relationships(garden: Pedigree) -> None:
    taken = factors(garden)
    a = np.array([[garden.relationship(x, y) for y in taken.keys] for x in taken.keys])
    assert taken.inverse().toarray() @ a == pytest.approx(np.eye(len(a)), abs=1e-9)
    assert taken.log_determinant() == pytest.approx(np.linalg.slogdet(a)[1], abs=1e-9)
    assert taken.diagonal == pytest.approx(np.diag(a))
