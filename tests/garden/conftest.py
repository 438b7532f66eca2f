"""Fixtures of the tests about photos."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from garden.models import Photo
from garden.photos import clean
from garden.records import add_photo
from tests.cast import Stock
from tests.photos import camera, drawn, encoded


@pytest.fixture(autouse=True)
def _own_shelf(settings: Any, tmp_path: Path) -> None:
    """The photos of one test are not those of the next."""
    settings.PHOTOS_DIR = tmp_path / "photos"


@pytest.fixture
def photo(stock: Stock, act: Callable[..., Any]) -> Photo:
    taken = clean(encoded(drawn(), exif=camera()))
    return add_photo(act(), plant=stock.teapot, photo=taken, caption="the third flower").thing
