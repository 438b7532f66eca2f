"""Plants of the stock as the charts and the notation take them: records in, plain data out."""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from dataclasses import dataclass, field

from django.db.models import Q
from django.urls import reverse

from breeding.charts import Chart, Plantlet, ancestors_chart, descendants_chart, web_chart
from breeding.kin import assumed, the_pedigree
from breeding.models import Cross
from breeding.notation import tree_of, write_parentage, write_purdy
from breeding.pedigree import Inheritance
from garden.flower import Recipe
from garden.models import Plant, fold
from garden.models.stock import UNKNOWN

DEPTHS = range(2, 9)
# More than these no sheet and no screen holds; the chart then says that it ends.
MOST_PLANTS = 600
# What stands for a parent that is on record but lies beyond the generations asked for.
BEYOND = "…"
SIDES = ("seed", "pollen")

Parent = Hashable | None


@dataclass
class Family:
    """A part of the stock: records by key, and who descends from whom.

    `parents` : key -> (seed parent, pollen parent): a key, words for a parent that is not in the
    stock, BEYOND, or None. `children` : key -> keys, only where descendants were asked for.
    `mates` : records that stand only as the other parent of a child. `cut` : there are more.
    """

    records: dict[int, Plant] = field(default_factory=dict)
    parents: dict[int, tuple[Parent, Parent]] = field(default_factory=dict)
    children: dict[int, list[int]] = field(default_factory=dict)
    mates: dict[int, Plant] = field(default_factory=dict)
    cut: bool = False

    @property
    def plantlets(self) -> dict[Hashable, Plantlet]:
        """All of them as a chart shows them."""
        return {pk: plantlet(plant) for pk, plant in (self.records | self.mates).items()}


def plantlet(plant: Plant) -> Plantlet:
    """One plant as a chart shows it."""
    small = " ".join(str(word) for word in (plant.iris_class, plant.year) if word)
    recipe = Recipe.from_mapping(plant.recipe_fields()) if plant.has_colours else None
    return Plantlet(plant.label, not plant.name, small, reverse("plant", args=[plant.pk]), recipe)


def behind(roots: Iterable[int], depth: int) -> Family:
    """The plants and their ancestors over `depth` generations. One query a generation."""
    records: dict[int, Plant] = {}
    ring = set(roots)
    for _ in range(depth + 1):
        if not ring:
            break
        records |= Plant.live.in_bulk(ring)
        linked = (pk for one in ring & records.keys() for pk in _linked(records[one]))
        ring = {pk for pk in linked if pk not in records}
    pairs = {pk: _pair(plant, records) for pk, plant in records.items()}
    return Family(records, pairs)


def _linked(plant: Plant) -> list[int]:
    return [pk for pk in (plant.seed_parent_id, plant.pollen_parent_id) if pk]


def _pair(plant: Plant, records: dict[int, Plant]) -> tuple[Parent, Parent]:
    pair = []
    for side in SIDES:
        pk = getattr(plant, f"{side}_parent_id")
        words = getattr(plant, f"{side}_parent_text") or None
        pair.append(pk if pk in records else BEYOND if pk else words)
    return pair[0], pair[1]


def below(root: Plant, depth: int) -> Family:
    """The plant and its descendants over `depth` generations. One query a generation and two."""
    family = Family({root.pk: root})
    ring = {root.pk}
    for _ in range(depth):
        born = list(_born(ring)[: MOST_PLANTS + 1])
        new = [child for child in born if child.pk not in family.records]
        room = MOST_PLANTS - len(family.records)
        family.cut = family.cut or len(new) > room or len(born) > MOST_PLANTS
        family.records |= {child.pk: child for child in new[:room]}
        _join(family, born, ring)
        ring = {child.pk for child in new[:room]}
        if not ring:
            break
    if ring:
        # Whether there is more is all that is asked of the next generation.
        for child in _born(ring)[:MOST_PLANTS]:
            for pk in _linked(child):
                if pk in ring:
                    family.children.setdefault(pk, []).append(child.pk)
    others = {pk for plant in family.records.values() for pk in _linked(plant)}
    family.mates = Plant.live.in_bulk(others - family.records.keys())
    known = family.records | family.mates
    family.parents = {pk: _pair(plant, known) for pk, plant in family.records.items()}
    return family


def _born(ring: set[int]) -> Iterable[Plant]:
    return Plant.live.filter(Q(seed_parent__in=ring) | Q(pollen_parent__in=ring))


def _join(family: Family, born: list[Plant], ring: set[int]) -> None:
    """Hang children that are in the family below the plants of a generation."""
    for child in born:
        if child.pk in family.records:
            for pk in dict.fromkeys(_linked(child)):
                if pk in ring:
                    family.children.setdefault(pk, []).append(child.pk)


def shares_of_cross(seed: int, pollen: int | None) -> dict[Hashable, float]:
    """Expected contributions to the seedlings of a cross, fraction 0 to 1; the parents' own first.

    A parent with more sets of chromosomes gives more. Another one that nobody knows gives half.
    """
    pedigree = the_pedigree().pedigree
    sets = {pk: plant.ploidy for pk, plant in _rules({seed, pollen} - {None}).items()}
    part = 0.5 if pollen is None else sets[seed] / (sets[seed] + sets[pollen])
    found: dict[Hashable, float] = {}
    for parent, weight in ((seed, part), (pollen, 1 - part)):
        if parent is not None:
            found[parent] = found.get(parent, 0.0) + weight
            for key, share in pedigree.contributions(parent).items():
                found[int(key)] = found.get(int(key), 0.0) + weight * share
    return found


def _rules(keys: set[int]) -> dict[int, Inheritance]:
    return {pk: assumed(plant) for pk, plant in Plant.live.in_bulk(keys).items()}


def chart_of(plant: Plant, kind: str, depth: int) -> tuple[Chart, Family]:
    """The chart of a plant's 'ancestors' or 'descendants', and the plants in it."""
    if kind == "descendants":
        family = below(plant, depth)
        chart = descendants_chart(
            plant.pk, family.children, family.plantlets, depth, family.parents
        )
        if family.cut:
            chart.notes += (f"More than {MOST_PLANTS} plants descend from it; some are left out.",)
        return chart, family
    family = behind([plant.pk], depth)
    given = the_pedigree().pedigree.contributions(plant.pk)
    return ancestors_chart(plant.pk, family.parents, family.plantlets, depth, given), family


def web_of(cross: Cross, depth: int) -> Chart:
    """Everything behind one cross, each ancestor once."""
    seed, pollen = cross.seed_parent_id, cross.pollen_parent_id
    family = behind({seed, pollen} - {None}, depth)
    plantlets = family.plantlets
    if pollen is None:
        pollen = UNKNOWN
        plantlets[UNKNOWN] = Plantlet("pollen parent unknown")
    given = shares_of_cross(seed, cross.pollen_parent_id)
    return web_chart(seed, pollen, family.parents, plantlets, depth, given)


@dataclass(frozen=True)
class Written:
    """A parentage in words. `title` says in which notation; `trouble` why it cannot be written."""

    title: str
    text: str = ""
    trouble: str = ""


def is_nameless(plant: Plant) -> bool:
    """Whether it is known only as an ancestor of another, as its number in brackets says."""
    return not plant.name and plant.number.startswith("(") and plant.number.endswith(")")


def parentage_texts(family: Family, key: int, depth: int) -> list[Written]:
    """The parentage of a plant of the family, as breeders write it and as Purdy does."""
    pairs, words = noted(family)

    def label(at: Hashable) -> str:
        plant = family.records.get(at)
        return words[at] if plant is None else "" if is_nameless(plant) else plant.label

    def named(at: Hashable) -> bool:
        plant = family.records.get(at)
        return plant is None or bool(plant.name)

    ways = {
        "As breeders write it": lambda: write_parentage(key, pairs, label, named, depth),
        "Through the named plants too": lambda: write_parentage(
            key, pairs, label, lambda at: False, depth
        ),
        "Purdy’s notation": lambda: write_purdy(tree_of(key, pairs, label, named)),
    }
    found: dict[str, Written] = {}
    for title, way in ways.items():
        try:
            one = Written(title, way())
        except ValueError as error:
            one = Written(title, trouble=str(error))
        # The same words under a second heading tell nothing.
        found.setdefault(one.text or one.trouble, one)
    return list(found.values())


def parentage_in_words(family: Family, key: int, depth: int) -> str:
    """'A × B' for a plant of the family, as a registration has it: without the plant itself.

    Where the notation cannot be written, the two parents alone; '' for a plant without parents.
    """
    if not family.records[key].has_parents:
        return ""
    pairs, words = noted(family)
    labels = {pk: plant.label for pk, plant in family.records.items()} | words

    def named(at: Hashable) -> bool:
        return at not in family.records or bool(family.records[at].name)

    try:
        return write_parentage(
            key, pairs, lambda at: labels.get(at, ""), named, depth, heading=False
        )
    except ValueError:
        return " × ".join(labels.get(one, UNKNOWN) for one in pairs[key])


def noted(family: Family) -> tuple[dict, dict[Hashable, str]]:
    """Parents for the notation: words that are not 'unknown' stand as plants of their own."""
    by_name = {plant.folded: pk for pk, plant in family.records.items()}
    words: dict[Hashable, str] = {}
    pairs = {}
    for pk, pair in family.parents.items():
        noted = []
        for one in pair:
            if one in (None, BEYOND) or one in family.records:
                noted.append(None if one == BEYOND else one)
            elif fold(str(one)) in ("", UNKNOWN):
                noted.append(None)
            else:
                key = by_name.get(fold(str(one)), ("words", fold(str(one))))
                words.setdefault(key, str(one))
                noted.append(key)
        pairs[pk] = (noted[0], noted[1])
    return pairs, words
