"""The fields of which one type of a locus is made: colour words, copies, recorded looks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache, lru_cache
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator
from django.forms.utils import flatatt
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from breeding.inheritance.locuscheck import DEPTHS, FIELDS, LAYERS, MOST_COPIES
from garden.flower import BEARD_COLOURS, COLOURS, PATTERNS
from garden.forms.base import WholeNumber

LONGEST_WORD = 20


def _families(box: Mapping[str, Any], first: Sequence[str] = ()) -> list[Any]:
    """Colour words in the drawers of the paint box, behind the layers of a flower."""
    drawers: dict[str, list[tuple[str, str]]] = {}
    for word, colour in box.items():
        drawers.setdefault(colour.family, []).append((word, word))
    return [("", "nothing said"), *((word, word) for word in first), *drawers.items()]


@cache
def _words(field: str) -> frozenset[str]:
    """Every word that a part of a flower can be painted with."""
    told: list[str] = []
    for first, rest in _paint_choices(field):
        told += [word for word, _ in rest] if isinstance(rest, list) else [first]
    return frozenset(told) - {""}


@cache
def _paint_choices(field: str) -> list[Any]:
    if field == "pattern":
        return [("", "nothing said"), *((term, term) for term in PATTERNS)]
    if field == "beard":
        return _families(BEARD_COLOURS)
    if field in ("ground", "pigment"):
        return _families(COLOURS, DEPTHS if field == "pigment" else ())
    return _families(COLOURS, LAYERS)


@lru_cache(maxsize=1024)
def _options(field: str, chosen: str) -> SafeString:
    """The options of a select, one of them chosen."""

    def option(value: str, label: str) -> SafeString:
        mark = mark_safe(" selected") if value == chosen else ""
        return format_html('<option value="{}"{}>{}</option>', value, mark, label)

    return mark_safe(
        "".join(
            format_html(
                '<optgroup label="{}">{}</optgroup>',
                first,
                mark_safe("".join(option(*each) for each in rest)),
            )
            if isinstance(rest, list)
            else option(first, rest)
            for first, rest in _paint_choices(field)
        )
    )


class WordSelect(forms.Select):
    """A select of colour words; many stand on a page, so that its options are written once."""

    def __init__(self, field: str) -> None:
        super().__init__(attrs={"class": "inp"})
        self.field = field

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:
        told = flatatt(self.build_attrs(self.attrs, {**(attrs or {}), "name": name}))
        chosen = value if isinstance(value, str) and len(value) <= LONGEST_WORD else ""
        return format_html("<select{}>{}</select>", told, _options(self.field, chosen))


class WordField(forms.CharField):
    """A colour word of the paint box, a layer of a flower, or nothing."""

    def __init__(self, field: str, label: str) -> None:
        super().__init__(label=label, required=False, widget=WordSelect(field))
        self.field = field

    def validate(self, value: str) -> None:
        super().validate(value)
        if value and value not in _words(self.field):
            raise forms.ValidationError("Choose one of these.")


class Least(WholeNumber):
    """The least copies of an allele."""

    def __init__(self, label: str, most: int = MOST_COPIES, **kwargs: Any) -> None:
        super().__init__(label=label, min_value=1, max_value=most, required=False, **kwargs)
        self.widget.attrs["class"] = "inp"
        for check in self.validators:
            if isinstance(check, MinValueValidator | MaxValueValidator):
                check.message = f"Write a number from 1 to {most}."


class SignsField(forms.CharField):
    """Recorded looks, one alternative a line: parts of a flower and the words seen there."""

    widget = forms.Textarea

    def to_python(self, value: Any) -> list[dict[str, list[str]]]:
        lines = [line.strip() for line in super().to_python(value).splitlines() if line.strip()]
        return [self._sign(line) for line in lines]

    def _sign(self, line: str) -> dict[str, list[str]]:
        sign: dict[str, list[str]] = {}
        for told in filter(None, map(str.strip, line.split(";"))):
            part, colon, words = told.partition(":")
            seen = [" ".join(word.split()) for word in words.split(",") if word.strip()]
            if not (colon and seen and part.strip() in FIELDS):
                raise forms.ValidationError(
                    f"Write each look as part: words, the parts being {', '.join(FIELDS)}."
                )
            sign.setdefault(part.strip(), []).extend(
                f"!{word.removeprefix('not ').strip()}" if word.startswith("not ") else word
                for word in seen
            )
        return sign


def signs_words(signs: Iterable[Mapping[str, Sequence[str]]]) -> str:
    """Signs as they are typed."""
    return "\n".join(
        "; ".join(
            f"{part}: "
            + ", ".join(f"not {word[1:]}" if word.startswith("!") else word for word in words)
            for part, words in sign.items()
        )
        for sign in signs
    )
