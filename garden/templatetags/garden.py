"""Template tags: the drawn flower, days as people say them, lengths, form fields."""

from __future__ import annotations

import uuid
from datetime import date, datetime
from typing import Any

from django import template
from django.utils import timezone
from django.utils.html import format_html_join
from django.utils.safestring import SafeString, mark_safe

from garden.bundling import addresses_of
from garden.flower import Recipe, draw
from garden.forms.photos import PhotoInput
from garden.forms.words import in_inches
from garden.models import Garden, JournalLine, Plant

register = template.Library()
# U+202F: narrow, and no line breaks at it.
THIN = "\u202f"
# What stands where no colour is recorded: paper, nothing claimed.
UNPAINTED = Recipe(standards="ivory", falls="ivory", styles="ivory", beard="white")


@register.simple_tag
def flower(plant: Plant | None, size: str = "small", title: str = "") -> SafeString:
    """The plant's flower as SVG; a pale sketch where no colour is recorded."""
    if plant is None or not plant.has_colours:
        return mark_safe(draw(UNPAINTED, size, title))
    return mark_safe(draw(Recipe.from_mapping(plant.recipe_fields()), size, title))


@register.simple_tag
def door_flower() -> SafeString:
    """The flower on the door: a plicata, whose stitched edge is the notebook's own mark."""
    recipe = Recipe(pattern="plicata", standards="white", falls="white", rim="purple", beard="gold")
    return mark_safe(draw(recipe, "large"))


@register.simple_tag
def together(bundle: str) -> SafeString:
    """The links to styles, or the scripts, that come together."""
    shape = (
        '<link rel="stylesheet" href="{}">'
        if bundle.endswith(".css")
        else '<script src="{}" defer></script>'
    )
    return format_html_join("\n  ", shape, ((address,) for address in addresses_of(bundle)))


@register.simple_tag
def entry() -> str:
    """A fresh entry for a form, so that sending it twice counts once."""
    return str(uuid.uuid4())


@register.filter
def localday(value: datetime) -> date:
    """The garden's day of a moment."""
    return timezone.localtime(value).date()


@register.filter
def day(value: date | datetime | None) -> str:
    """'3 June 2026'."""
    if value is None:
        return ""
    return f"{value.day} {value:%B %Y}"


@register.filter
def shortday(value: date | datetime | None) -> str:
    """'3 Jun', with the year when it is another one."""
    if value is None:
        return ""
    this_year = timezone.localdate().year
    return f"{value.day} {value:%b}" + (f" {value.year}" if value.year != this_year else "")


@register.filter
def dayonly(value: date) -> str:
    """'3 Jun', where the year stands beside it anyway."""
    return f"{value.day} {value:%b}"


@register.filter
def longday(value: date) -> str:
    """'Thursday, 11 June'."""
    return f"{value:%A}, {value.day} {value:%B}"


@register.filter
def clock(value: datetime) -> str:
    """'3 June 2026, 07:12' in the garden's time."""
    local = timezone.localtime(value)
    return f"{day(local)}, {local:%H:%M}"


@register.simple_tag
def height(centimetres: int | None, garden: Garden) -> str:
    """A height as this garden measures it."""
    if not centimetres:
        return ""
    if garden.inches:
        return f"{in_inches(centimetres)} in"
    return f"{centimetres} cm"


@register.filter
def of(count: int, one: str) -> str:
    """`{{ 3|of:"pod" }}` is '3 pods'."""
    return f"{count} {one}" if count == 1 else f"{threes(count)} {one}s"


@register.filter
def threes(count: int | None) -> str:
    """A count as it is read: its digits in threes, held together by thin spaces."""
    return "" if count is None else f"{count:,}".replace(",", THIN)


@register.filter
def undated(line: JournalLine, told: date) -> str:
    """The line's sentence without its day at the end, where that day `told` stands above it."""
    return line.text.removesuffix(f" ({day(told)})")


@register.filter
def percent(part: int, whole: int) -> int:
    """`part` in hundredths of `whole`, from 0 to 100."""
    return min(100, round(100 * part / whole)) if whole else 0


@register.inclusion_tag("garden/_field.html")
def field(bound: Any, hint: str = "") -> dict[str, Any]:
    """A form field with its label above, its hint and what is wrong with it."""
    widget = bound.field.widget
    kind = getattr(widget, "input_type", "") or type(widget).__name__.lower()
    if isinstance(widget, PhotoInput):
        kind = "photo"
    attrs = widget.attrs
    if kind not in ("radio", "checkbox"):
        attrs.setdefault("class", "inp")
    described = [f"hint_{bound.html_name}"] if hint or bound.help_text else []
    if bound.errors:
        described.append(f"wrong_{bound.html_name}")
        attrs["aria-invalid"] = "true"
    if described:
        attrs["aria-describedby"] = " ".join(described)
    told = " ".join(described)
    return {"field": bound, "kind": kind, "hint": hint or bound.help_text, "told": told}
