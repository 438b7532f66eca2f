from __future__ import annotations

from typing import Any

import pytest

from breeding.notation import ParentageError, Plan, plan, read_parentage

# The stock: keys are numbers. Q 17-3 = Quillon Teapot × Marzipan Ledger; the Lamp is of Q 17-3.
STOCK = {"quillon teapot": 1, "marzipan ledger": 2, "q 17-3": 3, "attic lamp": 4, "oboe": 5}
RECORDED = {3: (1, 2), 4: (3, None), 5: (None, None)}
LABELS = {1: "Quillon Teapot", 2: "Marzipan Ledger", 3: "Q 17-3", 4: "Attic Lamp", 5: "Oboe"}


def planned(text: str, **more: Any) -> Plan[int]:
    more = {"parents": RECORDED, "label": LABELS.__getitem__, **more}
    return plan(read_parentage(text), STOCK, str.casefold, **more)


def told(found: Plan[int]) -> list[tuple]:
    """(name, key, names or keys of the parents) in order."""

    def show(place: int | None) -> object:
        return None if place is None else found.plants[place].name or found.plants[place].key

    return [
        (plant.name, plant.key, plant.parents and tuple(map(show, plant.parents)))
        for plant in found.plants
    ]


def test_plan__links_what_is_there_and_creates_the_rest_parents_first() -> None:
    found = planned("14-1: (quillon teapot × 12-A: (Oboe × Wet Slate))")
    assert told(found) == [
        ("quillon teapot", 1, None),
        ("Oboe", 5, None),
        ("Wet Slate", None, None),
        ("12-A", None, ("Oboe", "Wet Slate")),
        ("14-1", None, ("quillon teapot", "12-A")),
    ]
    assert [plant.name for plant in found.created] == ["Wet Slate", "12-A", "14-1"]
    assert [plant.key for plant in found.linked] == [1, 5]
    assert found.root == 4
    assert found.ready


def test_plan__everything_is_known_already() -> None:
    found = planned("Attic Lamp: (Q 17-3: [Quillon Teapot × Marzipan Ledger] × unknown)")
    assert found.created == []
    assert found.ready
    assert [plant.fills for plant in found.plants] == [(), (), (), ()]


def test_plan__tells_which_recorded_plant_gains_a_parent() -> None:
    found = planned("Attic Lamp: (Q 17-3 × Oboe)")
    assert found.ready
    assert found.plants[found.root].fills == ("pollen",)
    assert planned("Oboe: (A × B)").plants[-1].fills == ("seed", "pollen")


def test_plan__other_parent_than_recorded_is_a_conflict() -> None:
    found = planned("Q 17-3: (Quillon Teapot × Oboe)")
    (conflict,) = found.conflicts
    assert conflict.kind == "parent"
    assert found.plants[conflict.place].key == 3
    assert conflict.sentence == (
        "The pollen parent of Q 17-3 is Oboe here, but recorded is Marzipan Ledger."
    )
    assert not found.ready


def test_plan__new_plant_in_place_of_a_recorded_parent_is_a_conflict() -> None:
    assert [one.kind for one in planned("Q 17-3: (A × B)").conflicts] == ["parent", "parent"]


def test_plan__parents_the_other_way_round() -> None:
    (conflict,) = planned("Q 17-3: (Marzipan Ledger × Quillon Teapot)").conflicts
    assert conflict.kind == "swapped"
    assert "the other way round" in conflict.sentence


def test_plan__unknown_in_the_text_contradicts_nothing() -> None:
    assert planned("Q 17-3: (unknown × Marzipan Ledger)").ready


def test_plan__loop_through_the_record() -> None:
    (conflict,) = planned("Oboe × (Quillon Teapot: (Attic Lamp × B))").conflicts
    assert conflict.kind == "loop"
    assert "is among its own ancestors" in conflict.sentence
    for name in ("Quillon Teapot", "Q 17-3", "Attic Lamp"):
        assert name in conflict.sentence


def test_plan__several_plants_answer_to_a_name() -> None:
    found = planned("Attic Lamp: (Q 17-3 × Wet Slate)", several={"wet slate": [7, 8]})
    assert [plant.candidates for plant in found.ambiguous] == [(7, 8)]
    assert [plant.name for plant in found.created] == []
    assert not found.ready


def test_plan__recorded_parent_among_several_is_no_conflict() -> None:
    found = planned("Q 17-3: (Quillon Teapot × Ledger)", several={"ledger": [2, 9]})
    assert found.conflicts == ()


def test_plan__one_plant_behind_several_is_linked() -> None:
    assert planned("Ledger × Oboe", several={"ledger": [2]}).plants[0].key == 2


def test_plan__plant_whose_parentage_the_text_is() -> None:
    found = planned("Q 17-3 × Oboe", root=4)
    assert found.plants[found.root].key == 4
    assert found.plants[found.root].fills == ("pollen",)


def test_plan__bracket_without_number_is_the_recorded_parent() -> None:
    found = planned("Attic Lamp: ((Quillon Teapot × Marzipan Ledger) × Oboe)")
    assert found.plants[found.plants[found.root].parents[0]].key == 3
    assert found.ready
    assert found.created == []


def test_plan__bracket_without_number_that_cannot_be_the_recorded_parent() -> None:
    (conflict,) = planned("Attic Lamp: ((Quillon Teapot × Wet Slate) × Oboe)").conflicts
    assert conflict.sentence.startswith("The pollen parent of Q 17-3 is Wet Slate here")


def test_plan__sib_of_a_plant_of_the_stock_has_its_recorded_parents() -> None:
    found = planned("14-1: (Q 17-3 × 12-B, sib)")
    assert ("12-B", None, (1, 2)) in told(found)
    assert found.notes == ()
    assert {plant.key for plant in found.linked} == {1, 2, 3}


def test_plan__sib_of_a_plant_whose_parents_are_not_all_recorded() -> None:
    found = planned("Attic Lamp × sib")
    assert (None, None, ("Q 17-3", None)) in told(found) or (None, None, (3, None)) in told(found)
    assert found.notes == (
        "The parents of Attic Lamp are not all recorded, "
        "so those of a plant without number, its sib, are not all known.",
    )


def test_plan__sib_without_the_record() -> None:
    found = plan(read_parentage("Oboe × sib"), STOCK, str.casefold)
    assert [plant.parents for plant in found.created] == [(None, None), (0, 1)]
    assert len(found.notes) == 1


def test_plan__text_that_contradicts_itself() -> None:
    with pytest.raises(ParentageError, match="stands twice"):
        planned("12-A: (A × B) × 12-A: (A × C)")


def test_plan__nothing_in_the_stock() -> None:
    found = plan(read_parentage("A × A"), {}, str.casefold)
    assert told(found) == [("A", None, None), (None, None, ("A", "A"))]
    assert found.root == 1
