"""What is wrong with a locus told in plain words (JSON), before it is read as one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

_KEYS = {"symbol", "name", "alleles", "types", "source", "confidence"}
_MAY = {"note", "counted"}
_TYPE_KEYS = {"key", "name"}
_TYPE_MAY = {"needs", "paint", "signs", "hides"}


def check_told(told: Mapping[str, Any], confidences: Sequence[str]) -> None:
    """Raise ValueError with a sentence unless a locus in plain words has all its parts."""
    _check_keys(told, "The locus", _KEYS, _MAY)
    for what in ("symbol", "name", "source", "confidence", "note", "counted"):
        _check_kind(told.get(what, ""), str, f"The locus's {what} must be words.")
    _check_words(told["alleles"], "The alleles must be a list of names, as in V, v.")
    if told["confidence"] not in confidences:
        raise ValueError(f"How sure is it? One of: {', '.join(confidences)}.")
    _check_kind(told["types"], list, "The types must be a list.")
    for each in told["types"]:
        _check_told_type(each)


def _check_told_type(told: object) -> None:
    if not isinstance(told, Mapping):
        raise ValueError("Each type must say its key and its name.")
    _check_keys(told, "A type", _TYPE_KEYS, _TYPE_MAY)
    for what in ("key", "name"):
        _check_kind(told[what], str, f"A type's {what} must be words.")
    name = told["name"]
    _check_kind(told.get("needs", {}), Mapping, f"'{name}' must say its copies by allele.")
    paint = told.get("paint", {})
    _check_kind(paint, Mapping, f"'{name}' must say its paint by the part of the flower.")
    _check_words(list(paint.values()), f"'{name}' must be painted with words.")
    _check_words(told.get("hides", []), f"'{name}' must say what it hides as a list of symbols.")
    signs = told.get("signs", [])
    _check_kind(signs, list, f"'{name}' must say its signs as a list.")
    for sign in signs:
        _check_kind(sign, Mapping, f"Each sign of '{name}' must say its words by part.")
        for words in sign.values():
            _check_words(words, f"Each sign of '{name}' must list its words.")


def _check_keys(told: Mapping[str, Any], who: str, must: set[str], may: set[str]) -> None:
    for key in sorted(must - set(told)):
        raise ValueError(f"{who} lacks its {key}.")
    for key in sorted(set(map(str, told)) - must - may):
        raise ValueError(f"{who} says '{key}', which is not known here.")


def _check_kind(value: object, kind: type, sentence: str) -> None:
    if not isinstance(value, kind):
        raise ValueError(sentence)


def _check_words(value: object, sentence: str) -> None:
    if not isinstance(value, list | tuple) or not all(isinstance(word, str) for word in value):
        raise ValueError(sentence)
