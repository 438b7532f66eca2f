"""Pages of kinship: a pair, a map of a set, one plant among its relatives, a cross in hand."""

from __future__ import annotations

from collections import Counter
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from breeding import kinpages
from breeding.blooming import the_bloom
from breeding.forms import chosen_plant
from breeding.kin import the_pedigree
from breeding.models import Cross
from garden.finding import find_plants, the_plant
from garden.models import Garden, Plant
from garden.names import is_key

MOST_ANSWERS = 6
MOST_MAPPED = 40
SIDES = {"a": "One plant", "b": "The other plant"}
ADDING = "plants"


@require_safe
def pair(request: HttpRequest) -> HttpResponse:
    """Any two plants side by side."""
    sides = [_side(request, side) for side in SIDES]
    one, other = (side["plant"] for side in sides)
    sides[0]["other"], sides[1]["other"] = other, one
    context = {"sides": sides, "chosen": bool(one and other), "same": one == other}
    if one and other:
        held = the_pedigree(request.garden)
        context |= kinpages.pair(held, one, other)
        context |= {"crossing": f"?seed={one.pk}&pollen={other.pk}"}
    return render(request, "breeding/kin_pair.html", context)


def _side(request: HttpRequest, side: str) -> dict[str, Any]:
    """A chosen plant, or the field with its answers."""
    typed = request.GET.get(f"{side}_text", "").strip()[:200]
    plant = chosen_plant(request.GET.get(side, "")) or (the_plant(typed) if typed else None)
    answers = find_plants(typed, MOST_ANSWERS) if typed and not plant else []
    return {"side": side, "title": SIDES[side], "plant": plant, "typed": typed, "answers": answers}


@require_safe
def answers(request: HttpRequest, side: str) -> HttpResponse:
    """Plants that the typed letters may mean, to be chosen for a pair or added to a map."""
    if side not in (*SIDES, ADDING):
        raise Http404
    typed = request.GET.get(f"{side}_text", "").strip()[:200]
    found = find_plants(typed, MOST_ANSWERS) if typed else []
    context = {"side": side, "typed": typed, "answers": found, "told": True}
    return render(request, "breeding/_kin_answers.html", context)


@require_safe
def kin_map(request: HttpRequest) -> HttpResponse:
    """A chosen set of plants as an ordered heat map; at first the season's parents."""
    keys, of_season = _asked(request)
    typed = request.GET.get(f"{ADDING}_text", "").strip()[:200]
    added = the_plant(typed) if typed else None
    if added and added.pk not in keys:
        keys.append(added.pk)
    found = Plant.live.in_bulk(keys)
    plants = [found[key] for key in keys if key in found]
    left_out, plants = plants[MOST_MAPPED:], plants[:MOST_MAPPED]
    context = {
        "plants": [(plant, _without(plants, plant)) for plant in plants],
        "of_season": of_season,
        "left_out": len(left_out),
        "most": MOST_MAPPED,
        "typed": "" if added else typed,
        "answers": find_plants(typed, MOST_ANSWERS) if typed and not added else [],
    }
    if plants:
        context |= kinpages.mapped(the_pedigree(request.garden), plants)
    return render(request, "breeding/kin_map.html", context)


def _asked(request: HttpRequest) -> tuple[list[int], int]:
    """Keys asked for, each once, nonsense passed over; else the season's parents and that year."""
    if ADDING not in request.GET:
        return _season_parents(request.garden)
    words = ",".join(request.GET.getlist(ADDING)).split(",")[: 4 * MOST_MAPPED]
    keys = [int(word) for word in map(str.strip, words)
            if is_key(word)]  # fmt: skip
    return list(dict.fromkeys(keys)), 0


def _season_parents(garden: Garden) -> tuple[list[int], int]:
    """The parents of the latest season with crosses, those of most crosses first. Two queries."""
    season = garden.calendar.season(garden.today())
    crosses = Cross.live.filter(season__lte=season)
    season = crosses.order_by("-season").values_list("season", flat=True).first() or season
    parents = crosses.filter(season=season).values_list("seed_parent_id", "pollen_parent_id")
    used = Counter(key for both in parents for key in both if key)
    return sorted(used, key=lambda key: (-used[key], key)), season


def _without(plants: list[Plant], plant: Plant) -> str:
    return ",".join(str(other.pk) for other in plants if other != plant)


@require_safe
def of_plant(request: HttpRequest, pk: int) -> HttpResponse:
    """One plant: its inbreeding, founders, closest relatives, and the least related in bloom."""
    plant = get_object_or_404(Plant.live, pk=pk)
    held, bloom = the_pedigree(request.garden), the_bloom(request.garden)
    context = kinpages.one_plant(held, plant, bloom)
    around = [plant.pk, *(relative.pk for relative, *_ in context["near"])]
    context["around"] = ",".join(map(str, around))
    return render(request, "breeding/kin_of.html", {"plant": plant, **context})


@require_safe
def line(request: HttpRequest) -> HttpResponse:
    """What is expected of the seedlings of the parents in the cross form."""
    seed, pollen = (chosen_plant(request.GET.get(side, "")) for side in ("seed", "pollen"))
    context = {"kin": line_of(request.garden, seed, pollen)}
    return render(request, "breeding/_kin_line.html", context)


def line_of(garden: Garden, seed: Plant | None, pollen: Plant | None) -> dict[str, Any] | None:
    """The quiet line of the cross form; None until both parents stand there."""
    if seed is None or pollen is None:
        return None
    held = the_pedigree(garden)
    return {
        "outlook": kinpages.outlook(held, seed.pk, pollen.pk),
        "unknown": kinpages.bare(held, seed, pollen),
        "notes": list(held.notes_of((seed.pk, pollen.pk))),
        "seed": seed,
        "pollen": pollen,
        # Asked for once the form stands: copies may have to be worked out first.
        "expect": {"waiting": True, "seed": seed, "pollen": pollen},
    }
