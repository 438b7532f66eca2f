"""Which cross would tell most about a plant's copies: expected information of test crosses."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

from breeding.inheritance.counts import log_chances, number_of_tables, tables
from breeding.inheritance.genotypes import Genotype, totals
from breeding.inheritance.loci import Locus
from breeding.inheritance.parents import Mating, support, type_chances

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[Any]

Key = TypeVar("Key", bound=Hashable)
Copies = Mapping[Genotype, float]
# Tables gone through one by one; where there are more, so many are thrown, seeded.
MOST_TABLES, THROWS, SEED = 2500, 2000, 26
MOST_SEEDLINGS = 1000
# Mates worked out together: their tables stay in the processor's cache.
CHUNK = 16


def uncertainty(target: Copies, locus: Locus) -> float:
    """What is not known yet of a plant's counted copies, in bits: no cross can tell more.

    Examples
    --------
    >>> from breeding.inheritance.loci import Confidence, Type
    >>> v = Locus("V", "anthocyanin", ("V", "v"), (Type("violet", "violet", (("V", 1),)),
    ...           Type("white", "white")), "", Confidence.SUPPORTED)
    >>> uncertainty({((1, 3),): 0.5, ((2, 2),): 0.5}, v)
    1.0
    """
    import numpy as np

    sums: defaultdict[int, float] = defaultdict(float)
    counted = locus.alleles.index(locus.counted)
    for genotype, weight in target.items():
        sums[totals(genotype)[counted]] += weight
    shares = np.array([weight for weight in sums.values() if weight > 0])
    shares = shares / shares.sum()
    return max(0.0, float(-(shares * np.log2(shares)).sum()))


def information(
    target: Copies,
    mate: Copies | None,
    locus: Locus,
    mating: Mating,
    seedlings: int = 20,
) -> float:
    """What a cross with this mate is expected to tell about the target's counted copies.

    Parameters
    ----------
    target, mate : mapping of Genotype to float
        Probabilities of the genotypes. The mate's copies need not be known. `mate` None: the
        target is selfed.
    locus : Locus
    mating : Mating
        The target stands as the seed parent; the other way round tells the same.
    seedlings : int
        How many flowers would be seen, 0–1,000.

    Returns
    -------
    float
        Bits, from 0 to `uncertainty`.

    Raises
    ------
    ValueError
        If copies do not fit the locus and the sets, or the number of seedlings cannot be.

    Notes
    -----
    The mutual information [1]_ of the target's copies (all groups of sets together) and the counts
    of the types. Tables of counts are gone through one by one; beyond 2,500 (four types and more
    than 22 seedlings) 2,000 of them are thrown from the ratios in question and weighted, seeded;
    the bits are then right to about 0.05, and off in the same direction for all mates.

    References
    ----------
    .. [1] Lindley 1956, Ann. Math. Stat. 27:986–1005, on the information of an experiment.

    Examples
    --------
    >>> from breeding.inheritance.genotypes import Sets
    >>> from breeding.inheritance.loci import Confidence, Type
    >>> v = Locus("V", "anthocyanin", ("V", "v"), (Type("violet", "violet", (("V", 1),)),
    ...           Type("white", "white")), "", Confidence.SUPPORTED)
    >>> four, target = Sets((4,)), {((1, 3),): 0.5, ((2, 2),): 0.5}
    >>> round(information(target, {((0, 4),): 1.0}, v, Mating(four, four, four)), 3)
    0.82
    """
    return float(_bits(target, [mate], locus, mating, seedlings)[0])


def best_testers(
    target: Copies,
    mates: Mapping[Key, Copies],
    locus: Locus,
    matings: Mating | Mapping[Key, Mating],
    seedlings: int = 20,
    itself: Key | None = None,
) -> list[tuple[Key, float]]:
    """Mates by what a cross with each is expected to tell, the most telling first.

    Parameters
    ----------
    mates : mapping of key to Copies
    matings : Mating, or mapping of key to Mating
        One for all, or one for each mate.
    itself : key, optional
        The mate that is the target itself: selfed, whatever `mates` holds for it.

    Returns
    -------
    list of (key, bits)
        Equal ones stay in the order of `mates`.

    Notes
    -----
    Mates with the same sets are worked out together, from one table of chances.
    """
    groups: defaultdict[Mating, list[Key]] = defaultdict(list)
    for key in mates:
        groups[matings if isinstance(matings, Mating) else matings[key]].append(key)
    bits: dict[Key, float] = {}
    for mating, keys in groups.items():
        told = [None if itself is not None and key == itself else mates[key] for key in keys]
        bits |= zip(keys, _bits(target, told, locus, mating, seedlings).tolist(), strict=True)
    return sorted(((key, bits[key]) for key in mates), key=lambda pair: -round(pair[1], 9))


def _bits(
    target: Copies, mates: Sequence[Copies | None], locus: Locus, mating: Mating, seedlings: int
) -> Array:
    """Bits for each mate."""
    import numpy as np

    if not 0 <= seedlings <= MOST_SEEDLINGS:
        raise ValueError(f"From 0 to {MOST_SEEDLINGS:,} seedlings can be seen.")
    seeds, prior = support(target, mating.seed, locus)
    counted = locus.alleles.index(locus.counted)
    _, copies = np.unique([totals(each)[counted] for each in seeds], return_inverse=True)
    if copies.max() == 0 or seedlings == 0:
        return np.zeros(len(mates))
    ratios, shares = _ratios(seeds, prior, copies, mates, locus, mating)
    counts, weights = _tables(seedlings, ratios, shares.sum(axis=(0, 1)))
    chances, of_copies = np.exp(log_chances(counts, ratios)), np.bincount(copies, prior)
    chunks = []
    for first in range(0, len(mates), CHUNK):
        some = shares[first : first + CHUNK]
        # One flat product: a stack of small ones is much slower.
        joint = some.reshape(-1, len(ratios)) @ chances
        chunks.append(_shared(joint.reshape(*some.shape[:2], -1), of_copies, weights))
    bits: Array = np.concatenate(chunks).clip(0, uncertainty(target, locus))
    return bits


def _shared(joint: Array, of_copies: Array, weights: Array) -> Array:
    """Mutual information in bits of copies and tables, from joint chances (mates, copies, tables),
    those of the copies, and what each table stands for."""
    import numpy as np

    apart = of_copies[:, None] * joint.sum(axis=1, keepdims=True)
    with np.errstate(divide="ignore", invalid="ignore"):
        logs = np.where(joint > 0, np.log(joint / apart), 0.0)
    # The last two cancel in the sum, but where tables are thrown they keep each term above 0.
    nats: Array = ((joint * logs - joint + apart) @ weights).sum(axis=1)
    bits: Array = nats / np.log(2)
    return bits


def _ratios(
    seeds: Sequence[Genotype], prior: Array, copies: Array,
    mates: Sequence[Copies | None], locus: Locus, mating: Mating,
) -> tuple[Array, Array]:  # fmt: skip
    """The different ratios, shape (ratios, types), and their shares (mates, copies, ratios)."""
    import numpy as np

    known = [None if mate is None else support(mate, mating.pollen, locus) for mate in mates]
    pollens = list(dict.fromkeys(one for told in known if told for one in told[0]))
    if None in known:
        pollens += [one for one in seeds if one not in set(pollens)]
    place = {genotype: at for at, genotype in enumerate(pollens)}
    chances = type_chances(locus, seeds, pollens, mating)
    chances = chances[:, :, chances.any(axis=(0, 1))]
    ratios, row = np.unique(
        chances.reshape(-1, chances.shape[2]).round(10), axis=0, return_inverse=True
    )
    row = row.reshape(len(seeds), len(pollens))
    # By the mate's genotype: how the target's copies and the ratios come together.
    meet = np.zeros((len(pollens), copies.max() + 1, len(ratios)))
    for at, weight in enumerate(prior.tolist()):
        np.add.at(meet, (np.arange(len(pollens)), copies[at], row[at]), weight)
    shares = np.zeros((len(mates), *meet.shape[1:]))
    for one, told in enumerate(known):
        if told is None:
            same = [place[genotype] for genotype in seeds]
            np.add.at(shares[one], (copies, row[np.arange(len(seeds)), same]), prior)
        else:
            shares[one] = np.tensordot(told[1], meet[[place[each] for each in told[0]]], 1)
    return ratios, shares


def _tables(seedlings: int, ratios: Array, shares: Array) -> tuple[Array, Array]:
    """Tables of counts, shape (n, types), and what each stands for."""
    import numpy as np

    types = ratios.shape[1]
    if number_of_tables(seedlings, types) <= MOST_TABLES:
        counts = tables(seedlings, types)
        return counts, np.ones(len(counts))
    # No ratio is so unlikely that it is never thrown.
    shares = (shares / shares.sum() + 1 / len(shares)) / 2
    dice = np.random.default_rng(SEED)
    which = np.searchsorted(shares.cumsum(), (np.arange(THROWS) + 0.5) / THROWS)
    clean = ratios / ratios.sum(axis=1, keepdims=True)
    counts = dice.multinomial(seedlings, clean[which.clip(max=len(ratios) - 1)])
    thrown = shares @ np.exp(log_chances(counts, ratios))
    return counts, 1 / (THROWS * thrown)
