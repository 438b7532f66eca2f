"""Template filters of the pedigree pages."""

from __future__ import annotations

from django import template
from django.utils.safestring import SafeString, mark_safe

from garden.flower import Recipe, draw

register = template.Library()


@register.filter
def share(part: float) -> str:
    """A fraction from 0 to 1 in hundredths: '50 %', '12.5 %', '0.4 %'."""
    hundredths = f"{100 * part:.1f}".removesuffix(".0")
    return f"{hundredths}\u202f%"


@register.filter
def bloom(recipe: Recipe) -> SafeString:
    """A recipe as a small flower."""
    return mark_safe(draw(recipe, "small"))
