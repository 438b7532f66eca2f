"""Types read from the recorded colours of a flower: only what is certain under the hypothesis."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from breeding.inheritance.loci import Locus
from garden.flower import BEARD_COLOURS, COLOURS

# How often a type that has signs shows none of them, because another locus hides it or its colour
# is an odd one: a convention, there are no figures to go by.
WITHOUT_SIGN = 0.3


def read(locus: Locus, looks: Mapping[str, str]) -> str | None:
    """The type that recorded colours show for certain.

    Parameters
    ----------
    locus : Locus
    looks : mapping of str to str
        Fields of a flower's recipe (pattern, standards, falls, styles, beard, haft, rim) to the
        recorded words; what is missing or ``''`` was not recorded.

    Returns
    -------
    str or None
        Key of the type; None when the colours tell nothing, or speak for several types.

    Notes
    -----
    Only the signs of the locus's own types are looked at. A sign holds when each of its fields
    shows one of the words, or a word of one of the families, and nothing that is ruled out; a
    field that was not recorded shows nothing, so it satisfies only what rules out.

    Examples
    --------
    >>> from breeding.inheritance.loci import Confidence, Locus, Type
    >>> v = Locus("V", "violet", ("V", "v"), (Type("violet", "violet", (("V", 1),),
    ...           signs=({"falls": ("violet", "blue")},)), Type("none", "none")), "",
    ...           Confidence.SUPPORTED)
    >>> read(v, {"falls": "indigo"}), read(v, {"falls": "white"}), read(v, {})
    ('violet', None, None)
    """
    shown = [type_.key for type_ in locus.types if any(_holds(sign, looks) for sign in type_.signs)]
    return shown[0] if len(shown) == 1 else None


def hint(locus: Locus, looks: Mapping[str, str]) -> dict[str, float] | None:
    """What a flower of recorded colours makes likelier by showing no sign of the locus.

    Were only what is certain looked at, types without signs would never be seen, and the others
    would seem to be everywhere: a white flower speaks for 'no violet', though not for certain.

    Returns
    -------
    dict of str to float, or None
        By type how likely such a flower would be of it: 1 for a type that has no signs, less for
        one that has. None where a sign shows, where all types have signs or none has, and where
        standards and falls were not both recorded.

    Examples
    --------
    >>> from breeding.inheritance.loci import Confidence, Locus, Type
    >>> v = Locus("V", "violet", ("V", "v"), (Type("violet", "violet", (("V", 1),),
    ...           signs=({"falls": ("violet", "blue")},)), Type("none", "none")), "",
    ...           Confidence.SUPPORTED)
    >>> hint(v, {"standards": "white", "falls": "white"})
    {'violet': 0.3, 'none': 1.0}
    """
    if not (looks.get("standards") and looks.get("falls")):
        return None
    if any(_holds(sign, looks) for type_ in locus.types for sign in type_.signs):
        return None
    signed = [bool(type_.signs) for type_ in locus.types]
    if all(signed) or not any(signed):
        return None
    return {type_.key: WITHOUT_SIGN if type_.signs else 1.0 for type_ in locus.types}


def read_all(loci: Sequence[Locus], looks: Mapping[str, str]) -> dict[str, str]:
    """Symbol to type key of every locus that the recorded colours tell of."""
    found = {locus.symbol: read(locus, looks) for locus in loci}
    return {symbol: key for symbol, key in found.items() if key is not None}


def _holds(sign: Mapping[str, Sequence[str]], looks: Mapping[str, str]) -> bool:
    return all(_shows(field, words, looks.get(field) or "") for field, words in sign.items())


def _shows(field: str, words: Sequence[str], recorded: str) -> bool:
    if any(word.startswith("!") and _is(field, recorded, word[1:]) for word in words):
        return False
    wanted = [word for word in words if not word.startswith("!")]
    return not wanted or any(_is(field, recorded, word) for word in wanted)


def _is(field: str, recorded: str, word: str) -> bool:
    """Whether the recorded word is this one, or of this family."""
    if not recorded:
        return False
    colour = (BEARD_COLOURS if field == "beard" else COLOURS).get(recorded)
    in_family = field != "pattern" and colour is not None and colour.family == word
    return recorded == word or in_family
