"""The stock: its table, the form of a plant, its place, and striking it out."""

from __future__ import annotations

from django.db.models import Prefetch
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garden.finding import find_plants
from garden.forms.base import keep
from garden.forms.flower import FlowerForm
from garden.forms.plants import (
    MOST_OFFERED,
    SIDES,
    ChangePlantForm,
    CorrectPlaceForm,
    PlaceForm,
    PlantForm,
    StrikeForm,
)
from garden.forms.stock import StockForm
from garden.models import Bed, Placing, Plant
from garden.names import is_key
from garden.records import (
    add_plant,
    change_plant,
    correct_placing,
    place_plant,
    strike_plant,
)
from garden.views.common import form_page, kept_at, page, recorders_only

ON_A_PAGE = 50
HEADINGS = (
    ("name", "Name"),
    ("class", "Class"),
    ("", "Pattern"),
    ("bloom", "Bloom"),
    ("height", "Height"),
    ("year", "Year"),
    ("", "Stands in"),
    ("", "Status"),
)
standing = Prefetch(
    "placings",
    Placing.live.filter(until=None).select_related("bed").order_by("since", "id"),
    to_attr="places",
)


@require_safe
def stock(request: HttpRequest) -> HttpResponse:
    """The table of plants, fifty at a time. A fixed number of queries."""
    form = StockForm(request.GET)
    rows = form.rows(request.garden.stock_version)
    shown = list(
        form.behind(rows, request.GET.get("after", ""))
        .prefetch_related(standing)[: ON_A_PAGE + 1]
    )  # fmt: skip
    more = form.query(after=shown[ON_A_PAGE - 1].pk) if len(shown) > ON_A_PAGE else ""
    back = request.htmx.history_restore_request
    return page(
        request,
        "garden/plants.html",
        "garden/plants.html" if back else "garden/_plants.html",
        form=form,
        plants=shown[:ON_A_PAGE],
        total=rows.count(),
        more=more,
        headings=[_heading(form, name, title) for name, title in HEADINGS],
    )


def _heading(form: StockForm, name: str, title: str) -> dict[str, str]:
    """A column's heading: which way it is ordered now and the address that turns it."""
    column, backwards = form.order
    here = bool(name) and name == column
    turn = f"-{name}" if here and not backwards else name
    return {
        "title": title,
        "order": ("descending" if backwards else "ascending") if here else "",
        "href": form.query(sort=turn) if name else "",
    }


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Add a plant to the stock."""
    if request.method == "POST":
        form = PlantForm(request.POST, garden=request.garden)
        if kept := keep(request, form, add_plant):
            return kept_at(kept, "plant", kept.thing.pk)
    else:
        named = {"name": request.GET.get("name", "")[:80]}
        form = PlantForm(garden=request.garden, initial=named)
    return form_page(request, "garden/plant_form.html", form)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is recorded of a plant."""
    parents = Plant.live.select_related("seed_parent", "pollen_parent")
    plant = get_object_or_404(parents, pk=pk)
    form = ChangePlantForm(request.POST or None, garden=request.garden, plant=plant)
    if request.method == "POST" and (kept := keep(request, form, change_plant, plant=plant)):
        return kept_at(kept, "plant", pk)
    return form_page(request, "garden/plant_form.html", form, plant=plant)


@require_safe
def offer(request: HttpRequest, side: str) -> HttpResponse:
    """Plants that the letters typed for a parent may mean, or the field with the chosen one."""
    if side not in SIDES:
        raise Http404
    chosen = request.GET.get("chosen", "")
    if not chosen:
        typed = request.GET.get(side, "").strip()
        offered = find_plants(typed, MOST_OFFERED)
        context = {"side": side, "offered": offered, "typed": typed, "told": True}
        return render(request, "garden/_offered.html", context)
    if not is_key(chosen):
        raise Http404
    plant = get_object_or_404(Plant.live, pk=int(chosen))
    form = PlantForm(garden=request.garden, initial={side: plant.label})
    context = {"parent": form.parent(side), "chosen": plant}
    return render(request, "garden/_parent_field.html", context)


@require_POST
def preview(request: HttpRequest) -> HttpResponse:
    """The flower of the colours touched so far, drawn and in words. Writes nothing."""
    form = FlowerForm(request.POST).rewritten()
    return render(request, "garden/_flower_preview.html", {"form": form})


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def place(request: HttpRequest, pk: int) -> HttpResponse:
    """Say where a plant stands."""
    plant = get_object_or_404(Plant.live, pk=pk)
    form = PlaceForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, place_plant, plant=plant)):
        return kept_at(kept, "plant", pk)
    places = plant.placings.filter(struck=False, until=None).select_related("bed")
    context = {"plant": plant, "places": places, "beds": Bed.live.exists()}
    return form_page(request, "garden/plant_place.html", form, **context)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def correct_place(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct where a plant stands or stood."""
    placing = get_object_or_404(Placing.live.select_related("plant", "bed"), pk=pk)
    form = CorrectPlaceForm(request.POST or None, placing=placing)
    if request.method == "POST" and (kept := keep(request, form, correct_placing, placing=placing)):
        return kept_at(kept, "plant", placing.plant_id)
    return form_page(request, "garden/placing_correct.html", form, plant=placing.plant)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike a plant out that was written by mistake."""
    plant = get_object_or_404(Plant.live, pk=pk)
    form = StrikeForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, strike_plant, plant=plant)):
        return kept_at(kept, "plants")
    return form_page(request, "garden/plant_strike.html", form, plant=plant)
