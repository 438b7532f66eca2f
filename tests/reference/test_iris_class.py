"""Classes of bearded irises against the published limits.

American Iris Society, Basic Iris Culture (booklet), p. 4, its wiki, and pages of societies and
growers: MDB up to 8 in, SDB 8 to 16, IB, BB and MTB 16 to 27½, TB over 27½ ("27½ and above" in
other texts, "71 cm and above" in the booklet). End points are shared.
"""

from __future__ import annotations

import pytest

from garden.irisclass import CM_PER_INCH, Measured, class_of, classes, said

PUBLISHED = {
    "MDB": (None, 8.0), "SDB": (8.0, 16.0), "IB": (16.0, 27.5), "BB": (16.0, 27.5),
    "MTB": (16.0, 27.5), "TB": (27.5, None),
}  # fmt: skip


def of_inches(height: float, **more: object) -> Measured:
    return Measured(height * CM_PER_INCH, **more)


def test_limits__are_the_published_ones() -> None:
    assert {each.code: (each.least, each.most) for each in classes().limits} == PUBLISHED


@pytest.mark.parametrize("source", ["Basic Iris Culture", "p. 4"])
def test_limits__name_their_source(source: str) -> None:
    assert source in classes().source


@pytest.mark.parametrize(
    ("height", "codes"),
    [(4, {"MDB"}), (12, {"SDB"}), (22, {"IB", "BB", "MTB"}), (36, {"TB"}), (60, {"TB"})],
)
def test_class__well_within_the_limits(height: float, codes: set[str]) -> None:
    assert set(class_of(of_inches(height)).codes) == codes


@pytest.mark.parametrize(
    ("limit", "below", "above"), [(8, "MDB", "SDB"), (16, "SDB", "IB"), (27.5, "IB", "TB")]
)
@pytest.mark.parametrize("off", [-0.4, 0.0, 0.4])
def test_class__warns_at_a_limit_and_rejects_neither(
    limit: float, below: str, above: str, off: float
) -> None:
    verdict = class_of(of_inches(limit + off))
    assert {below, above} <= set(verdict.codes)
    assert any(f"the limit of {said(limit)} in" in each for each in verdict.warnings)
    for recorded in (below, above):
        assert class_of(of_inches(limit + off), recorded).against == ()


@pytest.mark.parametrize("centimetres", [20, 41, 70])
def test_class__rounded_centimetres_of_the_sources_are_at_the_limit(centimetres: float) -> None:
    assert any("at the limit" in each for each in class_of(Measured(centimetres)).warnings)


def test_class__71_cm_is_tall_and_near() -> None:
    verdict = class_of(Measured(71))
    assert verdict.codes[0] == "TB"


# IB between SDB and TB; BB and MTB with TB.
@pytest.mark.parametrize(("with_tall", "codes"), [(False, ("IB",)), (True, ("BB",))])
def test_class__is_told_by_the_time_of_bloom(with_tall: bool, codes: tuple[str, ...]) -> None:
    measured = of_inches(22, with_tall=with_tall, flower_height=11, flower_width=11)
    assert class_of(measured).codes == codes


# MTB: height and width of the flower together at most 6 in.
@pytest.mark.parametrize(("together", "first"), [(5.9, "MTB"), (6.0, "MTB"), (6.1, "BB")])
def test_class__small_flowers_are_those_of_miniature_tall_ones(together: float, first: str) -> None:
    half = together / 2 * CM_PER_INCH
    measured = of_inches(22, with_tall=True, flower_height=half, flower_width=half)
    assert class_of(measured).codes[0] == first
    against = class_of(measured, "MTB").against
    assert bool(against) == (together > 6)


# IB: flower of 3.5 to 5 in; SDB: up to 4 in.
@pytest.mark.parametrize(
    ("recorded", "height", "flower", "found"),
    [("IB", 22, 3.4, 1), ("IB", 22, 3.5, 0), ("IB", 22, 5.0, 0), ("IB", 22, 5.1, 1),
     ("SDB", 12, 4.0, 0), ("SDB", 12, 4.1, 1)],
)  # fmt: skip
def test_against__flowers_of_the_wrong_size(
    recorded: str, height: float, flower: float, found: int
) -> None:
    size = flower * CM_PER_INCH
    measured = of_inches(height, flower_height=size, flower_width=size - 1)
    assert len(class_of(measured, recorded).against) == found
