"""The house plan, held by parsing the code: which way arrows point, who may write, how long things
may grow."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from garden import plantlist
from garden.flower import BEARD_COLOURS, COLOURS, PATTERNS
from garden.models import IrisClass, Plant

ROOT = Path(__file__).resolve().parent.parent
APPS = ("garden", "breeding", "evaluation")
# Sums and drawings: plain data in, plain data out.
DJANGO_FREE = (
    "garden/flower",
    "garden/increase",
    "garden/labels",
    "garden/calendar.py",
    "garden/names.py",
    "garden/epithets",
    "garden/irisclass.py",
    "garden/plantlist.py",
    "garden/database.py",
    "garden/datafolder.py",
    "garden/hosts.py",
    "garden/certificates",
    "garden/pairing.py",
    "garden/remembered.py",
    "garden/transport.py",
    "garden/clock.py",
    "garden/claims.py",
    "garden/csvout.py",
    "garden/logs.py",
    "garden/photos",
    "garden/scanning.py",
    "garden/paper",
    "garden/backup",
    "garden/outward",
    "breeding/passport.py",
    "breeding/tagnumbers.py",
    "breeding/tagsheet.py",
    "breeding/charts",
    "breeding/paper",
    "breeding/kinmap.py",
    "breeding/notation",
    "breeding/pedigree",
    "breeding/inheritance",
    "breeding/flowering",
    "breeding/fertility",
    "breeding/planning",
    "breeding/pages/bloomplot.py",
    "breeding/pages/bloomwords.py",
    "evaluation/ranking",
    "evaluation/stalk",
    "evaluation/spadework",
    "evaluation/spans.py",
    "evaluation/spreadplot.py",
    # The demo's story is told in plain data; only loading.py does what it tells.
    "evaluation/demo/__init__.py",
    "evaluation/demo/bloom.py",
    "evaluation/demo/cast.py",
    "evaluation/demo/choosing.py",
    "evaluation/demo/copies.py",
    "evaluation/demo/counts.py",
    "evaluation/demo/darkroom.py",
    "evaluation/demo/diary.py",
    "evaluation/demo/field.py",
    "evaluation/demo/genes.py",
    "evaluation/demo/history.py",
    "evaluation/demo/jars.py",
    "evaluation/demo/judging.py",
    "evaluation/demo/naming.py",
    "evaluation/demo/looks.py",
    "evaluation/demo/picture_flower.py",
    "evaluation/demo/picture_light.py",
    "evaluation/demo/picture_marks.py",
    "evaluation/demo/picture_scene.py",
    "evaluation/demo/picture_shapes.py",
    "evaluation/demo/pictures.py",
    "evaluation/demo/plans.py",
    "evaluation/demo/scorers.py",
    "evaluation/demo/seedbench.py",
    "evaluation/demo/spring.py",
    "evaluation/demo/steps.py",
    "evaluation/demo/taps.py",
    "evaluation/demo/thefew.py",
    "evaluation/demo/things.py",
    "evaluation/demo/truth.py",
)
# Where the site is put together, all apps are known.
KNOWS_ALL_APPS = {"garden/urls.py", "garden/settings.py"}
WRITES = {
    "save", "create", "bulk_create", "update", "bulk_update", "delete", "get_or_create",
    "update_or_create",
}  # fmt: skip
MAY_WRITE = (
    "garden/verbs.py", "garden/records/", "breeding/counting.py", "breeding/records/",
    "evaluation/counting.py", "evaluation/records/",
)  # fmt: skip
# (file, call) -> why it is no way round the verbs.
WRITES_EXCUSED = {
    ("garden/models/people.py", "person.save"): "making the first owner, before any verb can run",
    ("garden/models/site.py", "cls.objects.get_or_create"): "the garden's one row, when missing",
    ("garden/models/stock.py", "super.save"): "the folded name is written along",
    ("garden/models/increase.py", "super.save"): "the word for the place is written along",
    ("evaluation/models/naming.py", "super.save"): "the folded name is written along",
    ("breeding/models/crosses.py", "super.save"): "the version of the copies moves on",
    ("garden/models/site.py", "cls.objects.filter.update"): "the version of the stock moves on",
    ("garden/management/commands/start.py", "garden.save"): "the first start, nobody is in yet",
    ("garden/views/house.py", "request.user.save"): "one's own password, which no line may tell",
    ("garden/carrying.py", "written.bulk_create"): "rows as they are, into another database",
    ("garden/management/commands/take_in.py", "owner.save"): "a password for a book without any",
    ("garden/givingout.py", "model._base_manager.bulk_create"): "a whole book, as it was",
    ("breeding/tagsheet.py", "canvas.save"): "the state of a drawing",
    ("garden/paper/pages.py", "super.save"): "the pages of a drawing",
    ("garden/photos/cleaning.py", "picture.save"): "a picture into memory",
    ("garden/bundling.py", "self.delete"): "a joined static file, made anew",
    ("garden/bundling.py", "self.save"): "the same",
    ("evaluation/demo/pictures.py", "image.save"): "a picture that stays in memory",
    ("evaluation/demo/loading.py", "Garden.objects.filter.update"): "marks it as the demo garden",
    (
        "evaluation/ready.py",
        "Rubric.objects.create",
    ): "the rubrics of a new garden, nobody is in yet",
    ("evaluation/ready.py", "Criterion.objects.create"): "the same",
    ("breeding/ready.py", "Locus.objects.create"): "the loci of a new garden, nobody is in yet",
}
MOST_LINES_IN_A_FILE = 300
MOST_LINES_IN_A_FUNCTION = 50
# The whole life of a cross is one story, and is read as one.
MOST_LINES_IN_A_TEST = 60
MOST_LINES_IN_A_VIEW = 40
# Most of it is what works in the bed with no garden in reach: the outbox and the page In the bed.
MOST_LINES_OF_SCRIPT = 3_200
MOST_LINES_IN_A_SCRIPT = 200


def sources(*tops: str) -> list[Path]:
    """Python files below these folders, migrations left out."""
    found = []
    for top in tops:
        path = ROOT / top
        found += [path] if path.suffix == ".py" and path.exists() else sorted(path.rglob("*.py"))
    return [path for path in found if "migrations" not in path.parts]


def name_of(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def imports(path: Path) -> Iterator[str]:
    """Every module that a file imports, inside functions as well."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name_of(path)} imports by a relative name"
            yield node.module or ""


def importing(files: list[Path], *forbidden: str) -> list[str]:
    return [
        f"{name_of(path)} imports {module}"
        for path in files
        for module in imports(path)
        if module.split(".")[0] in forbidden
    ]


def functions(path: Path) -> Iterator[tuple[str, int]]:
    """(name, lines) of every function of a file, its docstring and decorators not counted."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            told = node.body[0] if ast.get_docstring(node) is not None else None
            docstring = told.end_lineno - told.lineno + 1 if told else 0
            yield node.name, node.end_lineno - node.lineno + 1 - docstring


def called(node: ast.expr) -> str:
    """'Model.objects.filter.update' of the call Model.objects.filter(…).update(…)."""
    if isinstance(node, ast.Attribute):
        return f"{called(node.value)}.{node.attr}"
    if isinstance(node, ast.Call):
        return called(node.func)
    return node.id if isinstance(node, ast.Name) else "…"


def writes(path: Path) -> Iterator[tuple[str, int]]:
    """Calls that may write to the database, with their lines."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            plain_set = node.func.attr == "update" and len(node.args) > 0
            if node.func.attr in WRITES and not plain_set:
                yield called(node.func), node.lineno


def test_sums__import_no_django() -> None:
    files = sources(*DJANGO_FREE)
    assert len(files) > 15
    assert importing(files, "django") == []


def test_sums__import_no_models() -> None:
    free = tuple(top.removesuffix(".py") for top in DJANGO_FREE)
    wrong = [
        f"{name_of(path)} imports {module}"
        for path in sources(*DJANGO_FREE)
        for module in imports(path)
        if module.split(".")[0] in APPS and not module.replace(".", "/").startswith(free)
    ]
    assert wrong == []


def test_arrows__garden_knows_no_other_app() -> None:
    files = [path for path in sources("garden") if name_of(path) not in KNOWS_ALL_APPS]
    assert len(files) > 20
    assert importing(files, "breeding", "evaluation") == []


def test_arrows__breeding_knows_no_evaluation() -> None:
    assert importing(sources("breeding"), "evaluation") == []


def test_arrows__no_app_knows_the_tests() -> None:
    assert importing(sources(*APPS), "tests") == []


def test_arrows__records_and_models_know_no_pages() -> None:
    files = [path for path in sources(*APPS) if {"records", "models"} & set(path.parts)]
    wrong = [
        f"{name_of(path)} imports {module}"
        for path in files
        for module in imports(path)
        if {"views", "forms"} & set(module.split("."))
    ]
    assert wrong == []


def test_writing__only_through_verbs() -> None:
    wrong = [
        f"{name_of(path)}:{line} {call}"
        for path in sources(*APPS)
        if not name_of(path).startswith(MAY_WRITE)
        for call, line in writes(path)
        if (name_of(path), call) not in WRITES_EXCUSED
    ]
    assert wrong == []


def test_writing__every_excuse_is_still_needed() -> None:
    found = {(name_of(path), call) for path in sources(*APPS) for call, _ in writes(path)}
    assert set(WRITES_EXCUSED) - found == set()


def view_files() -> list[Path]:
    return [path for path in sources(*APPS) if "views" in path.parts or path.stem == "views"]


def test_views__are_short() -> None:
    assert len(view_files()) > 5
    long = [
        f"{name_of(path)} {name}: {lines}"
        for path in view_files()
        for name, lines in functions(path)
        if lines > MOST_LINES_IN_A_VIEW
    ]
    assert long == []


def test_functions__are_short() -> None:
    long = [
        f"{name_of(path)} {name}: {lines}"
        for top, most in (*((app, MOST_LINES_IN_A_FUNCTION) for app in APPS),
                          ("tests", MOST_LINES_IN_A_TEST))
        for path in sources(top)
        for name, lines in functions(path)
        if lines > most
    ]  # fmt: skip
    assert long == []


def test_demo__every_file_but_loading_is_held_free_of_django() -> None:
    there = {name_of(path) for path in sources("evaluation/demo")}
    assert there - set(DJANGO_FREE) == {"evaluation/demo/loading.py"}


def test_files__are_short() -> None:
    long = {
        name_of(path): lines
        for path in sources(*APPS)
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > MOST_LINES_IN_A_FILE
    }
    assert long == {}


def test_files__annotations_are_not_evaluated() -> None:
    bare = [
        name_of(path)
        for path in sources(*APPS, "tests")
        if path.stat().st_size and "from __future__ import annotations" not in path.read_text()
    ]
    assert bare == []


def test_migrations__have_names() -> None:
    migrations = [path for app in APPS for path in (ROOT / app / "migrations").glob("[0-9]*.py")]
    assert migrations
    assert [path.name for path in migrations if "_auto_" in path.name] == []


def templates() -> list[Path]:
    return sorted((ROOT / "templates").rglob("*.html"))


@pytest.mark.parametrize(
    ("what", "pattern"),
    [
        ("script without src", r"<script(?![^>]*\ssrc=)[^>]*>"),
        ("style element", r"<style\b"),
        ("style attribute", r"<[^>]*\sstyle\s*="),
        ("on… attribute", r"<[^>]*\son[a-z]+\s*="),
        ("address outside the garden", r"<[^>]*\s(?:src|href)\s*=\s*[\"']?(?:https?:)?//"),
    ],
)
def test_templates__keep_to_the_content_security_policy(what: str, pattern: str) -> None:
    assert len(templates()) > 10
    found = {
        name_of(path): hits
        for path in templates()
        if (hits := re.findall(pattern, path.read_text(encoding="utf-8"), re.IGNORECASE))
    }
    assert found == {}, what


def test_script__of_our_own_is_little() -> None:
    files = sorted((ROOT / "static" / "js").rglob("*.js"))
    lines = {path.name: len(path.read_text(encoding="utf-8").splitlines()) for path in files}
    assert sum(lines.values()) <= MOST_LINES_OF_SCRIPT, lines
    assert {name: own for name, own in lines.items() if own > MOST_LINES_IN_A_SCRIPT} == {}


def test_plant_list__words_are_those_of_the_models() -> None:
    assert list(plantlist.KINDS) == Plant.Kind.values
    assert list(plantlist.CLASSES) == IrisClass.values
    assert list(plantlist.SEASONS) == Plant.BloomSeason.values
    assert plantlist.WORD_COLUMNS["pattern"] == tuple(PATTERNS)
    assert plantlist.WORD_COLUMNS["beard"] == tuple(BEARD_COLOURS)
    assert plantlist.WORD_COLUMNS["falls"] == tuple(COLOURS)


def test_plant_list__columns_fit_the_models() -> None:
    for name, most in plantlist.TEXT_COLUMNS.items():
        if name not in ("bed", "position"):
            assert Plant._meta.get_field(name).max_length == most, name
    for words in plantlist.WORD_COLUMNS.values():
        assert max(map(len, words)) <= 20
