"""Signing in and out, and the pages that say what went wrong."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from garden.verbs import writing


class SignInForm(AuthenticationForm):
    """Name and password."""

    error_messages = {
        **AuthenticationForm.error_messages,
        "invalid_login": "This name and password do not go together.",
        "inactive": "This name and password do not go together.",
    }

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, label_suffix="", **kwargs)
        self.fields["username"].label = "Your name"


class SignIn(LoginView):
    template_name = "garden/sign_in.html"
    authentication_form = SignInForm
    redirect_authenticated_user = True

    def form_valid(self, form: SignInForm) -> HttpResponse:
        with writing():
            return super().form_valid(form)


class SignOut(LogoutView):
    http_method_names = ["post", "options"]

    def post(self, request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        with writing():
            return super().post(request, *args, **kwargs)


def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    """The page behind a form that came from elsewhere or from before the last sign-in."""
    request.token_refused = True
    return render(
        request,
        "garden/trouble.html",
        {
            "title": "This form is too old",
            "told": "It was opened before you signed in again, and nothing of it was kept. Go "
            "back, copy what you typed, reload the page and send it once more.",
        },
        status=403,
    )


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(
        request,
        "garden/trouble.html",
        {
            "title": "This could not be read",
            "told": "What was sent is too large or damaged. Nothing was kept of it.",
        },
        status=400,
    )


def too_large(request: HttpRequest) -> HttpResponse:
    """The page behind a form or file that no form of ours would be."""
    return render(
        request,
        "garden/trouble.html",
        {
            "title": "This is too large",
            "told": f"Haftbook takes {settings.LARGEST_REQUEST // 1_000_000} MB at once, and a "
            "photo of 15 MB. Nothing was kept. Open the form again and choose something smaller.",
        },
        status=413,
    )


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    told = str(exception) or "You may not do this here."
    return render(
        request, "garden/trouble.html", {"title": "Not for you", "told": told}, status=403
    )


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    told = "Nothing in this garden has that address. Look it up by its name, number or tag."
    return render(
        request, "garden/trouble.html", {"title": "Nothing here", "told": told}, status=404
    )


def failed(request: HttpRequest) -> HttpResponse:
    return render(request, "garden/failed.html", status=500)
