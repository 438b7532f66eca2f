"""Forms of the door: name and password, a code to type, a phone to let in."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.http import HttpRequest
from django.utils import timezone

from garden.forms.base import RecordForm
from garden.forms.words import Words
from garden.models import Knock, Person, tidy
from garden.records.knocks import knock

WRONG = "This name and password do not go together."


class SignInForm(AuthenticationForm):
    """Name and password; a try is counted before the password is looked at."""

    error_messages = {
        **AuthenticationForm.error_messages,
        "invalid_login": WRONG,
        "inactive": WRONG,
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        self.fields["username"].label = "Your name"
        self.knock: Knock | None = None

    def clean(self) -> dict[str, Any]:
        """Raises `Shut`, which is no matter of the fields."""
        name = self.cleaned_data.get("username")
        if name and self.cleaned_data.get("password"):
            person = Person.objects.filter(name__iexact=tidy(name)).first()
            self.knock = knock(
                Knock.Way.PASSWORD, address_of(self.request), name=name, person=person,
                now=timezone.now(),
            )  # fmt: skip
        return super().clean()


def address_of(request: HttpRequest) -> str:
    """Where a request came from, by the connection alone: anybody can write a header."""
    return str(request.META.get("REMOTE_ADDR") or "")


class PairForm(RecordForm):
    """Whose phone is let in, what it is called, and how it finds this computer."""

    day = None
    person = forms.ModelChoiceField(
        Person.objects.none(), label="Whose phone", empty_label=None, to_field_name="pk"
    )
    name = Words(label="Name of the phone", max_length=40, required=True)
    site = forms.ChoiceField(label="This computer’s address")

    def __init__(self, *args: Any, by: Person, sites: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.by, self.sites = by, sites
        if by.is_owner:
            self.fields["person"].queryset = Person.objects.filter(is_active=True)
            self.fields["person"].initial = self.initial.get("person", by.pk)
        else:
            del self.fields["person"]
        if len(sites) > 1:
            self.fields["site"].choices = [(site, site.partition("//")[2]) for site in sites]
            self.fields["site"].help_text = "The one in the network that the phone is in."
            self.fields["site"].initial = sites[0]
        else:
            del self.fields["site"]

    def values(self) -> dict[str, Any]:
        """Whose phone and what it is called; everybody but the owner lets in their own."""
        chosen = super().values()
        return {"person": chosen.get("person", self.by), "name": chosen["name"]}

    def chosen_site(self) -> str:
        """The chosen address of this computer; the likeliest when there was no choice, or ''."""
        return self.cleaned_data.get("site") or next(iter(self.sites), "")
