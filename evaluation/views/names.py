"""Names: proposed, looked at, dropped, given."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from evaluation.forms.naming import MeasureForm, ProposeForm, SettleForm
from evaluation.models import Candidate, ProposedName
from evaluation.naming.known import Looked, look_at, looked, the_names
from evaluation.records import drop_name, give_name, measure, propose_name
from garden.epithets import BEYOND, check
from garden.forms.base import keep
from garden.models import Plant
from garden.names import is_key
from garden.views.common import form_page, journal_of, kept_at, recorders_only

STATE = ProposedName.State
# Longer than any name; what is pasted beyond it is not looked at.
MOST_SIGNS = 200
SHOWN, SHOWN_WAITING = 60, 24


def tried(request: HttpRequest, plant: Plant | None) -> Looked | None:
    """The name that an address asks to be looked at."""
    text = request.GET.get("text", "").replace("\x00", "")[:MOST_SIGNS]
    text = text.encode("utf-8", "ignore").decode()
    return look_at(text, request.garden, plant) if text.strip() else None


@require_safe
def told(request: HttpRequest) -> HttpResponse:
    """What is to be said of a name, as it is typed."""
    key = request.GET.get("plant", "")
    plant = Plant.live.filter(pk=int(key)).first() if is_key(key) else None
    return render(
        request, "evaluation/_name_told.html", {"looked": tried(request, plant), "plant": plant}
    )


@require_safe
def names(request: HttpRequest) -> HttpResponse:
    """Plants on the way to a name, and any name looked at. A fixed number of queries."""
    proposed = ProposedName.live.select_related("plant", "person").order_by("-day", "-pk")
    stays = Candidate.live.filter(verdict__in=Candidate.STAYS, plant__name="", plant__struck=False)
    stays = stays.exclude(plant__proposed_names__in=ProposedName.live.filter(state=STATE.OPEN))
    waiting = stays.select_related("plant").order_by("-decided_on", "-pk")[:SHOWN_WAITING]
    context = {
        "looked": tried(request, None),
        "text": request.GET.get("text", "")[:MOST_SIGNS],
        "proposed": [_light(each) for each in proposed.filter(state=STATE.OPEN)[:SHOWN]],
        "given": proposed.filter(state=STATE.CHOSEN)[:SHOWN],
        "waiting": [each.plant for each in waiting],
        "beyond": BEYOND,
    }
    return render(request, "evaluation/names.html", context)


def _light(proposed: ProposedName) -> dict[str, Any]:
    """A proposed name with what the rules alone say: likeness is told on the plant's page."""
    found = check(proposed.text)
    worst = found[0].severity.value if found else ""
    return {"proposed": proposed, "worst": worst, "many": len(found)}


@require_safe
def plant_names(request: HttpRequest, pk: int) -> HttpResponse:
    """Names for one plant, with what is to be said of each."""
    plant = get_object_or_404(Plant.live, pk=pk)
    form = ProposeForm(initial={"text": request.GET.get("text", "")[:MOST_SIGNS]})
    return _names_page(request, plant, form, tried(request, plant))


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def propose(request: HttpRequest, pk: int) -> HttpResponse:
    """Propose a name; the page of the plant's names is where the form stands."""
    plant = get_object_or_404(Plant.live, pk=pk)
    form = ProposeForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, propose_name, plant=plant)):
        return kept_at(kept, "plant-names", pk)
    return _names_page(request, plant, form, None)


def _names_page(
    request: HttpRequest, plant: Plant, form: ProposeForm, looked: Looked | None
) -> HttpResponse:
    """A fixed number of queries."""
    proposals = list(ProposedName.live.filter(plant=plant).select_related("person"))
    free = not plant.name and plant.kind not in (Plant.Kind.SPECIES, Plant.Kind.GUEST)
    context = {
        "plant": plant,
        "looked": looked,
        "lines": _lines(request, plant, proposals),
        "may_propose": free and request.user.may_record,
        "beyond": BEYOND,
        "journal": journal_of(plant),
    }
    return form_page(request, "evaluation/plant_names.html", form, **context)


def _lines(
    request: HttpRequest, plant: Plant, proposals: list[ProposedName]
) -> list[dict[str, Any]]:
    """Each proposed name with what was found; the open ones first."""
    order = [STATE.CHOSEN, STATE.OPEN, STATE.DROPPED]
    proposals.sort(key=lambda each: (order.index(each.state), each.pk))
    still = [each for each in proposals if each.state == STATE.OPEN]
    others = list(
        ProposedName.live.filter(state=STATE.OPEN).exclude(plant=plant).values_list("text", "plant")
    )
    texts = [each.text for each in still]
    found = looked(texts, the_names(request.garden), others, plant) if texts else []
    by_text = dict(zip(texts, found, strict=True))
    return [{"proposed": each, "looked": by_text.get(each.text)} for each in proposals]


def the_proposal(pk: int) -> ProposedName:
    """A proposed name of a plant that stands; 404 otherwise."""
    return get_object_or_404(
        ProposedName.live.select_related("plant").filter(plant__struck=False), pk=pk
    )


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def drop(request: HttpRequest, pk: int) -> HttpResponse:
    """Drop a proposed name."""
    proposed = the_proposal(pk)
    form = SettleForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, drop_name, proposed=proposed)):
        return kept_at(kept, "plant-names", proposed.plant_id)
    return form_page(
        request, "evaluation/name_drop.html", form, proposed=proposed, plant=proposed.plant
    )


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def give(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a plant its name."""
    proposed = the_proposal(pk)
    form = SettleForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, give_name, proposed=proposed)):
        return kept_at(kept, "plant", proposed.plant_id)
    context = {
        "proposed": proposed,
        "plant": proposed.plant,
        "looked": look_at(proposed.text, request.garden, proposed.plant),
        "beyond": BEYOND,
    }
    return form_page(request, "evaluation/name_give.html", form, **context)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def measured(request: HttpRequest, pk: int) -> HttpResponse:
    """Note what was measured of a plant."""
    plant = get_object_or_404(Plant.live, pk=pk)
    form = MeasureForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, measure, plant=plant)):
        return kept_at(kept, "dossier", pk)
    return form_page(request, "evaluation/measure.html", form, plant=plant)
