"""`manage.py kinship`: CSV in, CSV out, a line and status 2 for every bad file."""

from __future__ import annotations

import csv
import os
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

from breeding.pedigree import Pedigree

ROOT = Path(__file__).resolve().parent.parent.parent
HEADER = "id,seed_parent,pollen_parent,ploidy\n"
# Child before parent, a diploid's unreduced gamete, an unknown parent.
GARDEN = HEADER + "S,Mill,Mill,4\nMill,,,4\nRill,,,2\nX,Mill,Rill,4\nH,X,,4\n"
FAMILY = {"S": ("Mill", "Mill"), "Mill": (None, None), "Rill": (None, None),
          "X": ("Mill", "Rill"), "H": ("X", None)}  # fmt: skip
SETS = {"S": 4, "Mill": 4, "Rill": 2, "X": 4, "H": 4}


class Desk:
    """A folder with the two files, and what the command says to them."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def write(self, name: str, text: str | bytes) -> Path:
        path = self.folder / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    def ask(self, pedigree: str | bytes = GARDEN, pairs: str = "a,b\nS,H\n", **more) -> str:
        out = StringIO()
        call_command(
            "kinship", pedigree=self.write("garden.csv", pedigree),
            pairs=self.write("pairs.csv", pairs), stdout=out, **more,
        )  # fmt: skip
        return out.getvalue()

    def refused(self, *args, **more) -> list[str]:
        """The lines on standard error, without the folder."""
        err = StringIO()
        with pytest.raises(SystemExit) as end:
            self.ask(*args, stderr=err, **more)
        assert end.value.code == 2
        return err.getvalue().replace(f"{self.folder}{os.sep}", "").splitlines()


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def test_it_writes_kinship_and_relationship(desk: Desk) -> None:
    rows = list(csv.DictReader(StringIO(desk.ask(pairs="a,b\nS,H\nX,X\nRill,X\n"))))
    pedigree = Pedigree(FAMILY, SETS)
    assert [(row["a"], row["b"]) for row in rows] == [("S", "H"), ("X", "X"), ("Rill", "X")]
    for row in rows:
        pair = row["a"], row["b"]
        assert float(row["kinship"]) == pedigree.kinship(*pair)
        assert float(row["relationship"]) == pedigree.relationship(*pair)


def test_it_writes_every_digit_of_a_number(desk: Desk) -> None:
    line = desk.ask(pairs="a,b\nMill,Mill\n", double_reduction=1 / 7).splitlines()[1]
    assert line.split(",")[2] == repr(Pedigree(FAMILY, SETS, 1 / 7).kinship("Mill", "Mill"))


def test_it_writes_inbreeding_of_every_plant(desk: Desk) -> None:
    pairs, inbreeding = desk.ask(inbreeding=True, double_reduction=0.1).split("\n\n")
    assert pairs.startswith("a,b,kinship,relationship\n")
    rows = list(csv.DictReader(StringIO(inbreeding)))
    assert {row["id"]: float(row["inbreeding"]) for row in rows} == Pedigree(
        FAMILY, SETS, 0.1
    ).inbreedings()


def test_it_takes_columns_in_any_order_and_spaces_and_a_byte_order_mark(desk: Desk) -> None:
    text = (
        "\ufeffploidy, id ,note,pollen_parent,seed_parent\r\n4, S ,x,Mill, Mill\r\n\r\n4,Mill,,,\n"
    )
    answer = desk.ask(text, "b,a\nMill,S\n")
    assert answer == "a,b,kinship,relationship\nS,Mill,0.25,1.0\n"


def test_it_works_without_the_database(desk: Desk) -> None:
    pairs = desk.write("pairs.csv", "a,b\nS,Mill\n")
    garden = desk.write("garden.csv", GARDEN)
    data = desk.folder / "data"
    done = subprocess.run(
        [sys.executable, "manage.py", "kinship", "--pedigree", garden, "--pairs", pairs],
        cwd=ROOT, env={**os.environ, "HAFTBOOK_DATA": str(data)},
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert done.stdout == "a,b,kinship,relationship\nS,Mill,0.25,1.0\n"
    assert not list(data.glob("*.sqlite3*"))


BAD_PEDIGREES = {
    "missing column": (
        "id,seed_parent,ploidy\nA,,4\n", ["garden.csv row 1: column pollen_parent is missing"],
    ),
    "doubled column": (
        "id,id,seed_parent,pollen_parent,ploidy\n", ["garden.csv row 1: column id stands twice"],
    ),
    "nothing": ("", ["garden.csv row 1: column id is missing"]),
    "unknown parents": (
        HEADER + "A,B,C,4\n",
        ["garden.csv row 2: A seed parent B is not listed",
         "garden.csv row 2: A pollen parent C is not listed"],
    ),
    "a loop": (
        HEADER + "Z,,,4\nA,B,,4\nB,Z,A,4\n",
        ["garden.csv row 3: A is among its own ancestors: A ← B ← A"],
    ),
    "doubled id": (HEADER + "A,,,4\nB,,,4\nA,B,,4\n", ["garden.csv row 4: A is listed twice"]),
    "no id": (HEADER + "A,,,4\n,A,,4\n", ["garden.csv row 3: id is empty"]),
    "ploidy that cannot be": (
        HEADER + "A,,,4\nB,A,A,3\nC,A,A,9\n",
        ["garden.csv row 3: B ploidy 3 from 4 × 4: no reading is possible",
         "garden.csv row 4: C ploidy 9 from 4 × 4: no reading is possible"],
    ),
    "ploidy in two ways": (
        HEADER + "A,,,2\nB,,,2\nC,A,B,3\n",
        ["garden.csv row 4: C ploidy 3 from 2 × 2: more than one reading is possible"],
    ),
    "ploidy that is no number": (
        HEADER + "A,,,four\nB,,,\nC,,,0\n",
        ["garden.csv row 2: A ploidy four is not a whole number from 1 to 16",
         "garden.csv row 3: B its ploidy is not given",
         "garden.csv row 4: C ploidy 0 is not a whole number from 1 to 16"],
    ),
    "a short row": (HEADER + "A,,\n", ["garden.csv row 2: has 3 cells of 4"]),
    "no text": (b"\xff\xfe\x00", ["garden.csv: is not UTF-8 text"]),
    "an open quote": (HEADER + 'A,"', ["garden.csv: unexpected end of data"]),
    "two kinds": (
        HEADER + "A,A,,4\nB,Q,,4\nB,,,x\n",
        ["garden.csv row 2: A is among its own ancestors: A ← A",
         "garden.csv row 3: B seed parent Q is not listed",
         "garden.csv row 4: B is listed twice",
         "garden.csv row 4: B ploidy x is not a whole number from 1 to 16"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD_PEDIGREES)
def test_it_refuses_a_pedigree(desk: Desk, name: str) -> None:
    text, lines = BAD_PEDIGREES[name]
    assert desk.refused(text) == lines


def test_it_refuses_pairs_of_unknown_plants(desk: Desk) -> None:
    assert desk.refused(pairs="a,b\nS,H\nS,Nobody\n,X\n") == [
        "pairs.csv row 3: Nobody is not in the pedigree",
        "pairs.csv row 4: an empty id is not in the pedigree",
    ]


def test_it_refuses_pairs_without_a_column(desk: Desk) -> None:
    assert desk.refused(pairs="a,c\nS,H\n") == ["pairs.csv row 1: column b is missing"]


def test_it_refuses_a_rate_that_is_no_fraction(desk: Desk) -> None:
    assert desk.refused(double_reduction=1.5) == ["double reduction 1.5 is no fraction from 0 to 1"]


def test_it_refuses_a_file_that_is_not_there(desk: Desk, capsys) -> None:
    with pytest.raises(SystemExit) as end:
        call_command("kinship", pedigree=desk.folder / "none.csv", inbreeding=True)
    assert end.value.code == 2
    assert capsys.readouterr().err.endswith("none.csv: No such file or directory\n")


def test_it_wants_to_be_asked_for_something(desk: Desk, capsys) -> None:
    with pytest.raises(SystemExit) as end:
        call_command("kinship", pedigree=desk.write("garden.csv", GARDEN))
    assert end.value.code == 2
    assert "--pairs" in capsys.readouterr().err


def test_command__tells_every_fault_of_a_file_at_once(tmp_path: Path, capsys) -> None:
    """A row that is wrong by itself does not hide another whose ploidy cannot be."""
    text = "id,seed_parent,pollen_parent,ploidy\nA,,,4\nB,,,2\nC,A,B,7\nD,A,Z,4\n,A,B,3\nL,L,,4\n"
    file = tmp_path / "bad.csv"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(SystemExit) as ended:
        call_command("kinship", pedigree=file, inbreeding=True)
    assert ended.value.code == 2
    told = capsys.readouterr().err.splitlines()
    assert [line.partition(" row ")[2].partition(":")[0] for line in told] == ["4", "5", "6", "7"]
    assert "ploidy 7 from 4 × 2" in told[0]
