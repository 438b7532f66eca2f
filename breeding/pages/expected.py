"""What is expected of a cross of two of the garden's plants, from the copies held in memory."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from breeding.heredity import GardenCopies, the_copies
from breeding.inheritance.loci import Locus
from breeding.inheritance.painting import paint, painted_alike, shades_of
from breeding.inheritance.sets import Sets
from breeding.pages.expectwords import HARDLY, odds, percent, short, width
from breeding.pedigree import Mode
from breeding.pedigree.planned import CannotCross, Seedlings, seedlings
from garden.flower import Recipe, describe
from garden.models import Garden, Plant

if TYPE_CHECKING:
    from breeding.inheritance.expecting import Expectation
    from breeding.inheritance.outcomes import Outcome
    from breeding.inheritance.parents import Mating

# The quiet line names so many flowers.
MOST_NAMED = 4
# A flower that hardly any show is not worth a place in the line.
HARDLY_ANY = 0.01
# Pairs whose expectation is kept; those of one cross are asked for again and again.
MOST_KEPT = 64
NO_LOCI = "This garden works with no locus yet."
NOTHING_KNOWN = "Of no locus is anything known here yet: no flower read, no seedling counted."


class CannotExpect(ValueError):
    """Why nothing can be expected of a pair, in a sentence."""


@dataclass(frozen=True, slots=True)
class Look:
    """A flower to draw, from the fields of a recipe; stands in for a plant in `{% flower %}`."""

    fields: Mapping[str, str]

    @property
    def has_colours(self) -> bool:
        return bool(self.fields.get("standards") or self.fields.get("falls"))

    def recipe_fields(self) -> Mapping[str, str]:
        return self.fields

    @property
    def words(self) -> str:
        """'White plicata, stitched violet'."""
        if not self.has_colours:
            return "Colours not told"
        return describe(Recipe.from_mapping(self.fields)).removesuffix(".")

    @property
    def inline(self) -> str:
        """The same within a sentence."""
        return self.words[:1].lower() + self.words[1:]

    @property
    def brief(self) -> str:
        """'pink plicata', 'cream/indigo amoena': a flower within a list of several."""
        name, _, parts = self.inline.partition(":")
        if parts and self.fields.get("standards") and self.fields.get("falls"):
            return f"{self.fields['standards']}/{self.fields['falls']} {name}"
        return short(name)


@dataclass(frozen=True, slots=True)
class Kind:
    """One look that may come, its chance, and the outcomes that nobody can tell apart in it."""

    look: Look
    chance: float
    outcomes: tuple[Outcome, ...]

    @property
    def odds(self) -> str:
        return odds(self.chance)

    @property
    def percent(self) -> str:
        return percent(self.chance)


class Expected:
    """What is expected of a pair, with what the pages need of it.

    Attributes
    ----------
    seed, pollen : int, int or None
        Keys of plants; None: pollen of an unknown plant of the garden.
    told : Expectation
    mating : Mating
    shades : dict of str to str
        Words for grounds and pigment as the parents have them.
    """

    def __init__(self, held: GardenCopies, seed: int, pollen: int | None) -> None:
        from breeding.inheritance.expecting import expect

        self.held, self.seed, self.pollen = held, seed, pollen
        self.loci: list[Locus] = [each.locus for each in held.telling]
        if not self.loci:
            raise CannotExpect(NOTHING_KNOWN if held.working else NO_LOCI)
        self.seedlings = _crossed(held, seed, seed if pollen is None else pollen)
        self.mating = self._mating()
        looks = [held.looks.get(key, {}) for key in (seed, pollen) if key is not None]
        self.shades = shades_of(looks)
        parents = [self._genotypes(key) for key in (seed, pollen)]
        self.told: Expectation = expect(
            self.loci,
            parents[0],
            None if seed == pollen else parents[1],
            self.mating.seed,
            self.mating.pollen,
            self.mating.child,
            held.key[2],
            self.mating.uneven,
        )

    def _mating(self) -> Mating:
        from breeding.inheritance.parents import Mating

        first = self.held.of(self.loci[0].symbol)
        seed = first.sets(self.seed)
        pollen = seed if self.pollen is None else first.sets(self.pollen)
        child = Sets.of(self.seedlings.ploidy, self.seedlings.mode)
        try:
            return Mating(seed, pollen, child, self.held.key[2], self._uneven())
        except ValueError as refusal:
            raise CannotExpect(str(refusal)) from refusal

    def _uneven(self) -> tuple[bool, bool]:
        """Whether the sets of the parents do not pair freely; unknown pollen is as the seed
        parent."""
        seed = uneven(self.held, self.seed)
        return seed, seed if self.pollen is None else uneven(self.held, self.pollen)

    def _genotypes(self, plant: int | None) -> dict[str, dict[Any, float]]:
        """By symbol, the probabilities of a plant's genotypes; of one drawn from the garden."""
        if plant is not None:
            return {each.symbol: self.held.of(each.symbol).genotypes(plant) for each in self.loci}
        rate = float(self.mating.rates[1])
        return {each.symbol: usual(self.held, each.symbol, self.mating.pollen, rate)
                for each in self.loci}  # fmt: skip

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        return self.told.outcomes

    @cached_property
    def visible(self) -> dict[str, dict[str, float]]:
        """By symbol and key, the chance that a seedling shows the type."""
        sums: dict[str, dict[str, float]] = {
            each.symbol: {type_.key: 0.0 for type_ in each.types} for each in self.loci
        }
        for outcome in self.outcomes:
            for symbol, key in outcome.types.items():
                sums[symbol][key] += outcome.chance
        return sums

    @cached_property
    def kinds(self) -> list[Kind]:
        """The looks that may come, the likeliest first."""
        by_types = {tuple(each.types.items()): each for each in self.outcomes if each.chance > 0}
        chances = {seen: each.chance for seen, each in by_types.items()}
        return [
            Kind(Look(each.fields), float(each.chance), tuple(by_types[seen]
                 for seen in each.outcomes))
            for each in painted_alike(self.loci, chances, self.shades)
        ]  # fmt: skip

    def look(self, outcome: Outcome) -> Look:
        """The flower of one outcome, in the parents' shades."""
        return Look(paint(self.loci, outcome.types, self.shades))

    def name(self, symbol: str, key: str) -> str:
        return self.held.locus(symbol).locus.type_named(key).name


def _crossed(held: GardenCopies, seed: int, pollen: int) -> Seedlings:
    try:
        return seedlings(held.kin.pedigree, seed, pollen)
    except CannotCross as refusal:
        raise CannotExpect(str(refusal)) from refusal


def uneven(held: GardenCopies, plant: int) -> bool:
    """Whether a plant's sets are odd or unlike, so that nothing is known of double reduction."""
    return held.kin.pedigree.mode(plant) is Mode.UNEVEN


def usual(held: GardenCopies, symbol: str, sets: Sets, double: float) -> dict[Any, float]:
    """Genotypes of a plant of which nothing is known but that it is of this garden.

    `double` is the rate of double reduction of its kind.
    """
    return held.of(symbol).founder(sets, double)


_kept: tuple[GardenCopies | None, dict[tuple[int, int | None], Expected]] = (None, {})


def expected(held: GardenCopies, seed: int, pollen: int | None) -> Expected:
    """The expectation of a pair; kept as long as the copies that it rests on.

    Raises
    ------
    CannotExpect
        With a sentence, when nothing can be said of the pair.
    """
    global _kept
    if _kept[0] is not held:
        _kept = (held, {})
    pairs = _kept[1]
    if (seed, pollen) not in pairs:
        made = Expected(held, seed, pollen)
        if len(pairs) >= MOST_KEPT:
            pairs.pop(next(iter(pairs)), None)
        pairs[seed, pollen] = made
    return pairs[seed, pollen]


def ready(held: GardenCopies) -> bool:
    """Whether the copies at every locus are worked out, so that a page need not wait for them."""
    return all(held.known(each.locus.symbol) for each in held.telling)


def expect_line(
    garden: Garden,
    seed: Plant | None,
    pollen: Plant | None,
    wanted: Sequence[Sequence[str]] = (),
    patient: bool = False,
) -> dict[str, Any] | None:
    """The quiet outlook of a pair, for `breeding/_expect_line.html`; None until both stand there.

    Named are the types asked for (`wanted`: pairs of symbol and key), the likeliest flowers, and
    what cannot come although it is asked for or a parent shows it. Where the copies have moved the
    line asks for itself once more (`waiting`), unless somebody can wait (`patient`).
    """
    if seed is None or pollen is None:
        return None
    held = the_copies(garden)
    if not held.working:
        return None
    context: dict[str, Any] = {"seed": seed, "pollen": pollen}
    if not patient and not ready(held):
        return context | {"waiting": True}
    try:
        found = expected(held, seed.pk, pollen.pk)
    except CannotExpect as refusal:
        return context | {"refusal": str(refusal)}
    asked = {(symbol, key) for symbol, key in wanted}
    return context | _line(found, asked)


def _line(found: Expected, wanted: set[tuple[str, str]]) -> dict[str, Any]:
    """What may come, the likeliest first, and what cannot that is asked for or shown."""
    shown = set(wanted)
    for working in found.held.working:
        for plant in (found.seed, found.pollen):
            if plant is not None and (key := found.held.type_seen(plant, working)):
                shown.add((working.locus.symbol, key))
    cannot = [
        short(found.name(symbol, key))
        for symbol, chances in found.visible.items()
        for key, chance in chances.items()
        if (symbol, key) in shown and chance < HARDLY
    ]
    asked = [(short(found.name(*one)), odds(chance)) for one in sorted(wanted)
             if (chance := found.visible.get(one[0], {}).get(one[1], 0)) >= HARDLY]  # fmt: skip
    may = _flowers(found)
    alone = len(found.kinds) == 1 and not asked
    return {
        "may": [] if alone else [*asked, *may[: max(1, MOST_NAMED - len(asked))]],
        "cannot": cannot,
        "all": found.kinds[0].look.words if alone else None,
    }


def _flowers(found: Expected) -> list[tuple[str, str]]:
    """(name, odds) of the flowers that may come, the likeliest first, the rarest left out."""
    sums: dict[str, float] = {}
    for kind in found.kinds:
        sums[kind.look.brief] = sums.get(kind.look.brief, 0.0) + kind.chance
    ranked = sorted(sums.items(), key=lambda item: -item[1])
    return [(name, odds(chance)) for name, chance in ranked if chance > HARDLY_ANY]


def span(low: float, high: float) -> tuple[str, str]:
    """Where an interval begins and how wide it is, as SVG attributes take it."""
    return width(low), width(high - low)
