"""The book's contents, the people, one's own password and the garden's settings."""

from __future__ import annotations

from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from garden.doorway import end_others, go_out
from garden.forms.base import keep
from garden.forms.house import ChangePersonForm, GardenForm, PasswordForm, PersonForm
from garden.models import Bed, Person, Plant
from garden.records import add_person, change_garden, change_person
from garden.verbs import writing
from garden.views.common import form_page, kept_at, owners_only


@require_safe
def book(request: HttpRequest) -> HttpResponse:
    """The contents of the notebook."""
    counts = {"plants": Plant.live.count(), "beds": Bed.live.count()}
    return render(request, "garden/book.html", {"counts": counts})


@owners_only
@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """Everybody who signs in or did."""
    return render(request, "garden/people.html", {"people": Person.objects.order_by("name")})


@owners_only
@require_http_methods(["GET", "HEAD", "POST"])
def new_person(request: HttpRequest) -> HttpResponse:
    """Let somebody in."""
    form = PersonForm(request.POST or None)
    if request.method == "POST" and (kept := keep(request, form, add_person)):
        return kept_at(kept, "people")
    return form_page(request, "garden/person_form.html", form)


@owners_only
@require_http_methods(["GET", "HEAD", "POST"])
def change_somebody(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what somebody may do."""
    person = get_object_or_404(Person, pk=pk)
    standing = {name: getattr(person, name) for name in ("name", "role", "is_active")}
    form = ChangePersonForm(request.POST or None, initial=standing)
    if request.method == "POST" and (kept := keep(request, form, change_person, person=person)):
        after_change(request, kept.thing, new_password=bool(form.cleaned_data["password"]))
        return kept_at(kept, "people")
    return form_page(request, "garden/person_form.html", form, person=person)


def after_change(request: HttpRequest, person: Person, new_password: bool) -> None:
    """Sign the person's devices out where the door is another one now; not this one."""
    mine = person.pk == request.user.pk
    if new_password or not person.is_active:
        with writing():
            if mine and new_password:
                update_session_auth_hash(request, person)
            end_others(request, person)
            if mine and not person.is_active:
                go_out(request)


@require_http_methods(["GET", "HEAD", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    """One's own password; the session goes on."""
    form = PasswordForm(request.POST or None, person=request.user)
    if request.method == "POST" and form.is_valid():
        request.user.set_password(form.cleaned_data["password"])
        with writing():
            request.user.save(update_fields=["password"])
        after_change(request, request.user, new_password=True)
        return HttpResponseRedirect(reverse("password") + "?changed=1", status=303)
    return form_page(request, "garden/password.html", form, changed="changed" in request.GET)


@owners_only
@require_http_methods(["GET", "HEAD", "POST"])
def settings(request: HttpRequest) -> HttpResponse:
    """The garden's name, place and calendar."""
    form = GardenForm(request.POST or None, garden=request.garden)
    if request.method == "POST" and (kept := keep(request, form, change_garden)):
        return kept_at(kept, "garden-settings")
    return form_page(request, "garden/settings.html", form)
