"""Photos: their files, their page, adding one to a plant, correcting and striking out."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_http_methods, require_safe

from garden.forms.base import keep
from garden.forms.photos import AddPhotoForm, CorrectPhotoForm
from garden.forms.plants import StrikeForm
from garden.models import Photo, Plant
from garden.models.photos import the_shelf
from garden.records import add_photo, correct_photo, strike_photo
from garden.views.common import form_page, journal_of, kept_at, recorders_only


@require_safe
def photo_file(request: HttpRequest, digest: str, size: str) -> HttpResponse:
    """A photo's file, for people who are in: of a photo that stands, or that waits for its form."""
    shelf = the_shelf()
    path = None
    if Photo.live.filter(digest=digest).exists():
        path = shelf.find(digest, size)
    elif request.user.may_record:
        path = shelf.find_waiting(digest, size)
    if path is None:
        raise Http404
    # Some hundred kB at most: read at once, so that a slow phone holds no file open.
    answer = HttpResponse(path.read_bytes(), content_type="image/jpeg")
    answer.headers["Content-Disposition"] = f'inline; filename="photo-{digest[:8]}-{size}.jpg"'
    # Named by what it holds, so it never changes; no cache that people share may keep it.
    answer.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    return answer


@require_safe
def photo(request: HttpRequest, pk: int) -> HttpResponse:
    """One photo in full. A fixed number of queries."""
    thing = get_object_or_404(Photo.live.select_related("plant"), pk=pk)
    return render(request, "garden/photo.html", {"photo": thing, "journal": journal_of(thing)})


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a photo to a plant."""
    plant = get_object_or_404(Plant.live, pk=pk)
    if request.method == "POST":
        form = AddPhotoForm(request.POST, request.FILES)
        if kept := keep(request, form, add_photo, plant=plant):
            return kept_at(kept, "plant", pk)
    else:
        form = AddPhotoForm()
    return form_page(request, "garden/photo_form.html", form, plant=plant)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Correct the words under a photo and its day."""
    thing = get_object_or_404(Photo.live.select_related("plant"), pk=pk)
    form = CorrectPhotoForm(request.POST or None, photo=thing)
    if request.method == "POST" and (kept := keep(request, form, correct_photo, photo=thing)):
        return kept_at(kept, "photo", pk)
    return form_page(request, "garden/photo_correct.html", form, photo=thing)


@recorders_only
@require_http_methods(["GET", "HEAD", "POST"])
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    """Strike a photo out."""
    thing = get_object_or_404(Photo.live.select_related("plant"), pk=pk)
    form = StrikeForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, strike_photo, photo=thing)):
        return kept_at(kept, "plant", thing.plant_id) if thing.plant else kept_at(kept, "today")
    return form_page(request, "garden/photo_strike.html", form, photo=thing)
