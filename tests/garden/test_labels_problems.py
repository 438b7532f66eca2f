"""What is said before labels are printed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from garden.labels import READY, problems
from tests.garden.label_samples import LONG, label

GRID = READY["a4-24-70x36"]


def test_problems__none_when_all_is_well() -> None:
    assert problems([label(), label("26-014C", title="Fen")]) == []
    assert problems([label()], GRID) == []


def test_problems__signs_that_no_font_has() -> None:
    said = problems([label(lines=("鳶尾 and 🌸",))])
    assert said == ["P123K: no font here has 鳶 尾 🌸; a dot is printed instead."]


def test_problems__say_what_there_is_no_room_for() -> None:
    said = problems([LONG], READY["roll-12x50"])
    assert said == [
        "P8801: no room for the parents and a line and the flower on "
        "Roll 12 mm wide, labels of 50 × 12 mm."
    ]


def test_problems__a_label_lower_than_a_square_code() -> None:
    sheet = replace(GRID, title="low", label_height=10)
    low = [label(code, flower=None, lines=()) for code in ("P123K", "P2")]
    assert problems(low, sheet) == [
        "Labels lower than 12 mm have no square code: type the code in letters instead."
    ]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"payload": "x" * 4000}, "address is too long"),
        ({"flower": {"falls": "plaid"}}, "no flower is drawn"),
        ({"payload": "HTTP://A-VERY-LONG-NAME-OF-A-GARDEN.LOCAL:8000/" + "T" * 40}, "very fine"),
    ],
)
def test_problems__of_what_a_label_carries(change: dict, said: str) -> None:
    found = problems([label(**change)], READY["a4-24-190x12"])
    assert any(said in sentence for sentence in found), found


def test_problems__a_label_without_a_code() -> None:
    assert "A label has no code in letters." in problems([label(" ")])


def test_problems__measures_that_cannot_be() -> None:
    assert any("do not fit" in one for one in problems([label()], replace(GRID, rows=9)))
