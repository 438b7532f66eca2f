"""Every ready size read back by two decoders that know nothing of Haftbook: zbar and ZXing."""

from __future__ import annotations

import subprocess
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
import zxingcpp
from PIL import Image

from garden.labels import READY
from tests.garden.label_samples import BASE, LONG, WITH_SQUARE, label, one_label, snapshot

SEEDS = range(2)
CODES = zxingcpp.BarcodeFormat.QRCode


@pytest.fixture(scope="module")
def pictures(tmp_path_factory) -> dict[str, Path]:
    """One label of each size, each with a code of its own."""
    folder = tmp_path_factory.mktemp("labels")
    return {key: one_label(key, folder, label(f"P{at:03}K")) for at, key in enumerate(WITH_SQUARE)}


def wanted(key: str) -> str:
    return f"{BASE}P{WITH_SQUARE.index(key):03}K"


def by_zbar(paths: list[Path]) -> dict[str, list[str]]:
    """What zbarimg reads in each file."""
    done = subprocess.run(["zbarimg", "--xml", "-q", *map(str, paths)], capture_output=True)
    assert done.returncode in (0, 4), done.stderr  # 4: nothing found in one of them
    space = "{http://zbar.sourceforge.net/2008/barcode}"
    root = ElementTree.fromstring(done.stdout)
    return {
        source.get("href"): [data.text for data in source.iter(f"{space}data")]
        for source in root.iter(f"{space}source")
    }


def by_zxing(picture: Image.Image) -> list[str]:
    return [found.text for found in zxingcpp.read_barcodes(picture, CODES)]


def test_every_ready_size_is_tried(pictures) -> None:
    assert set(pictures) == set(READY)
    assert len({wanted(key) for key in pictures}) == len(READY) > 30


def test_clean_pictures__are_all_read_by_zbar(pictures) -> None:
    read = by_zbar(list(pictures.values()))
    assert {key: read[str(path)] for key, path in pictures.items()} == {
        key: [wanted(key)] for key in pictures
    }


def test_clean_pictures__are_all_read_by_zxing(pictures) -> None:
    assert {key: by_zxing(Image.open(path)) for key, path in pictures.items()} == {
        key: [wanted(key)] for key in pictures
    }


def test_snapshots__nine_of_ten_are_read_by_zxing(pictures) -> None:
    """Blurred, tilted and half in the shade; and every size is read at least once in two."""
    read = {}
    for at, (key, path) in enumerate(pictures.items()):
        clean = Image.open(path)
        shots = [snapshot(clean, 1000 * at + seed) for seed in SEEDS]
        read[key] = sum(by_zxing(shot) == [wanted(key)] for shot in shots)
    assert sum(read.values()) >= 0.9 * len(SEEDS) * len(pictures), read
    assert min(read.values()) >= 1, read


def test_snapshots__are_blurred_turned_and_half_shaded(pictures) -> None:
    clean = Image.open(pictures["a4-24-70x36"])
    for seed in SEEDS:
        shot = np.asarray(snapshot(clean, seed), float)
        sharp = np.asarray(snapshot(clean, seed, damage=False), float)
        assert np.abs(np.diff(shot)).max() < 0.7 * np.abs(np.diff(sharp)).max()
        lit = shot[sharp > 250]
        assert np.percentile(lit, 5) < 0.55 * np.percentile(lit, 95)
        upper = np.nonzero(sharp > 250)[0].min()
        assert (sharp[upper + 2] > 250).sum() < 0.2 * clean.size[0]


@pytest.mark.parametrize("key", ["a4-36-95x15", "a4-65-38-1x21-2", "roll-12x50", "roll-62x100"])
def test_the_fullest_label__is_read(key: str, tmp_path: Path) -> None:
    assert by_zxing(Image.open(one_label(key, tmp_path, LONG))) == [LONG.payload]
