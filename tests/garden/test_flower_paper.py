"""The drawn flower on paper, small and shaded, against its SVG on the screen."""

from __future__ import annotations

import subprocess
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from garden.flower import COLOURS, PATTERNS, Recipe
from garden.flower.onpaper import flower_form
from garden.flower.outlines import ellipse, operators
from garden.flower.paint import resolve
from garden.flower.shaded import shaded_form


def picture(form, recipe: Recipe, folder: Path) -> np.ndarray:
    """The flower as poppler draws it, 200 by 200; what it complains of fails the test."""
    canvas = Canvas(str(folder / "flower.pdf"), pagesize=(100, 100))
    form(canvas, "flower", recipe)
    canvas.doForm("flower")
    canvas.showPage()
    canvas.save()
    source, target = folder / "flower.pdf", folder / "flower"
    done = subprocess.run(
        ["pdftoppm", "-r", "144", "-png", "-singlefile", source, target],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr == ""
    return np.asarray(Image.open(folder / "flower.png").convert("RGB"), float)


@pytest.mark.parametrize("form", [flower_form, shaded_form])
@pytest.mark.parametrize("pattern", PATTERNS)
def test_flower__every_pattern_is_drawn_in_its_paints(form, pattern: str, tmp_path: Path) -> None:
    recipe = Recipe(pattern=pattern, standards="yellow", falls="purple", beard="white")
    drawn = picture(form, recipe, tmp_path)
    paint = resolve(recipe)
    for wanted in (paint.standards, paint.falls):
        rgb = np.array([int(wanted[at : at + 2], 16) for at in (1, 3, 5)])
        near = (np.abs(drawn - rgb).max(axis=2) < 40).sum()
        assert near > 300, wanted
    assert (drawn[:6, :6] == 255).all()


def test_flower__shaded_has_more_tones_than_small(tmp_path: Path) -> None:
    recipe = Recipe(standards="apricot")
    small, shaded = (
        len(np.unique(picture(form, recipe, tmp_path).reshape(-1, 3), axis=0))
        for form in (flower_form, shaded_form)
    )
    assert shaded > 3 * small


def test_shaded__all_colours_can_be_read(tmp_path: Path) -> None:
    canvas = Canvas(str(tmp_path / "all.pdf"))
    for colour in COLOURS:
        shaded_form(canvas, f"flower {colour}", Recipe(falls=colour, rim=colour, haft=colour))
    canvas.showPage()
    canvas.save()


def test_operators__quadratic_curves_become_cubic() -> None:
    steps = operators("M0 0Q3 3 6 0z")
    assert steps == "0.000 0.000 m 2.000 2.000 4.000 2.000 6.000 0.000 c 0.000 0.000 l h"


def test_ellipse__runs_through_its_four_ends() -> None:
    steps = ellipse(10, 20, 3, 5).split(" c")
    ends = [tuple(float(one) for one in step.split()[-2:]) for step in steps[1:-1]]
    assert steps[0].startswith("13.000 20.000 m")
    assert ends == [(7.0, 20.0), (10.0, 15.0), (13.0, 20.0)]
