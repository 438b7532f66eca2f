"""The door: signing in by password, by a code from the laptop, and signing out."""

from __future__ import annotations

import math

from django.conf import settings
from django.contrib.auth.views import LoginView, LogoutView
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.utils import timezone

from garden.doorway import come_in, device_name, go_out
from garden.forms.doors import SignInForm, address_of
from garden.models import Device, Knock
from garden.pairing import code_digest, is_code, is_token, tidy_code, token_digest
from garden.records.doors import redeem
from garden.records.knocks import Shut, knock, let_in
from garden.turns import writing
from garden.verbs import Refused

NO_CODE = "A code has eight letters and digits, as the laptop shows it."


class SignIn(LoginView):
    """The only page for strangers."""

    template_name = "garden/sign_in.html"
    authentication_form = SignInForm

    def post(self, request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        try:
            for way in (Knock.Way.TOKEN, Knock.Way.CODE):
                if way.value in request.POST:
                    return self._by_code(way)
            return super().post(request, *args, **kwargs)
        except Shut as shut:
            return self._slowed(shut)

    def form_valid(self, form: SignInForm) -> HttpResponse:
        name = device_name(self.request.headers.get("User-Agent", ""))
        with writing():
            let_in(form.knock)
            come_in(self.request, form.get_user(), name, Device.Way.PASSWORD)
        return HttpResponseRedirect(self.get_success_url())

    def _by_code(self, way: Knock.Way) -> HttpResponse:
        """Somebody scanned what a laptop shows, or typed it."""
        typed = self.request.POST.get(way.value, "")
        digest = self._digest(way, typed)
        if not digest:
            return self._not_opened(NO_CODE, typed)
        now = timezone.now()
        try_ = knock(way, address_of(self.request), now=now)
        try:
            with writing():
                pairing = redeem(now, **digest)
                let_in(try_)
                come_in(
                    self.request, pairing.person, pairing.name, Device.Way.PAIRED, pairing=pairing
                )
        except Refused as refused:
            return self._not_opened(str(refused), "")
        return HttpResponseRedirect(self.get_success_url())

    def _digest(self, way: Knock.Way, typed: str) -> dict[str, str]:
        """What to look for; {} for what no laptop has ever shown."""
        if way == Knock.Way.TOKEN:
            return {"token_digest": token_digest(typed)} if is_token(typed) else {}
        code = tidy_code(typed)
        return {"code_digest": code_digest(code, settings.SECRET_KEY)} if is_code(code) else {}

    def _not_opened(self, told: str, typed: str, **more: object) -> HttpResponse:
        form = self.authentication_form(self.request)
        context = self.get_context_data(form=form, not_opened=told, typed=typed[:20], **more)
        return self.render_to_response(context)

    def _slowed(self, shut: Shut) -> HttpResponse:
        seconds = max(1, math.ceil((shut.until - timezone.now()).total_seconds()))
        minutes = math.ceil(seconds / 60)
        wait = "in a minute" if minutes == 1 else f"in {minutes} minutes"
        told = f"Too many wrong tries came from here. The door can be tried again {wait}."
        answer = self._not_opened(told, "")
        answer.status_code = 429
        answer.headers["Retry-After"] = str(seconds)
        return answer


class SignOut(LogoutView):
    http_method_names = ["post", "options"]

    def post(self, request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        go_out(request)
        return HttpResponseRedirect(self.get_success_url())
