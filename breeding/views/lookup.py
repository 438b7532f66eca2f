"""Look up: a name, a number or a tag leads to its page."""

from __future__ import annotations

import re
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from breeding.models import Cross, Pot, SeedCup, Tag
from garden.finding import find_plants
from garden.models import Bed, Plant, fold
from garden.views.common import page

MOST = 12
CODE = re.compile(r"\d{2}-\d{1,6}(-\d{1,5}){0,2}")


@require_safe
def look_up(request: HttpRequest) -> HttpResponse:
    """Everything that the typed text may mean; a whole number or code opens at once."""
    typed = request.GET.get("q", "").strip()[:200]
    exact = exact_page(typed) if typed else ""
    if exact and not request.htmx:
        return HttpResponseRedirect(exact)
    found = search(typed) | {"exact": exact, "q": typed}
    return page(request, "breeding/look_up.html", "breeding/_found.html", **found)


def exact_page(typed: str) -> str:
    """The address of the tag, cross, cup or pot with exactly this number; '' if there is none."""
    plain = typed.replace(" ", "")
    if plain.isascii() and plain.isdigit() and len(plain) <= 12:
        known = Tag.live.filter(code=plain, batch__struck=False).exists()
        return reverse("tag", args=[plain]) if known else ""
    if CODE.fullmatch(plain):
        model, name = [(Cross, "cross"), (SeedCup, "cup"), (Pot, "pot")][plain.count("-") - 1]
        known = model.live.filter(code=plain).exists()
        return reverse(name, args=[plain]) if known else ""
    return ""


def search(typed: str) -> dict[str, Any]:
    """Plants, their crosses and beds that the text may mean. At most five queries."""
    plants = find_plants(typed, MOST) if typed else []
    crosses = Cross.live.select_related("seed_parent", "pollen_parent").order_by(
        "-season", "number"
    )
    if CODE.match(typed) or re.fullmatch(r"\d{2}-\d*", typed):
        found = crosses.filter(code__gte=typed, code__lt=typed + "\uffff").order_by("code")[:MOST]
    else:
        found = _crosses_of(plants[0], crosses) if plants else []
    folded = fold(typed)
    beds = Bed.live.filter(folded__startswith=folded)[:MOST] if folded else []
    return {"plants": plants, "crosses": found, "beds": beds}


def _crosses_of(plant: Plant, crosses: QuerySet) -> list[Cross]:
    """The newest crosses with the plant on either side; asked one by one, each has its index."""
    seed = crosses.filter(seed_parent=plant)[:MOST]
    pollen = crosses.filter(pollen_parent=plant)[:MOST]
    return sorted({*seed, *pollen}, key=lambda cross: (-cross.season, cross.number))[:MOST]
