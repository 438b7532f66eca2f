"""Every address of the site."""

from __future__ import annotations

from django.urls import include, path

from garden import phone
from garden.views import doors, journal, offline, signing, waiting

urlpatterns = [
    path("sign-in/", signing.SignIn.as_view(), name="sign-in"),
    path("sign-out/", signing.SignOut.as_view(), name="sign-out"),
    path("sw.js", offline.worker, name="worker"),
    path("hello/", phone.hello, name="hello"),
    path("waiting/", waiting.waiting, name="waiting"),
    path("waiting/take-in/", waiting.take_in, name="waiting-take-in"),
    path("phones/", doors.phones, name="phones"),
    path("phones/new/", doors.new, name="phone-new"),
    path("phones/new/<int:pk>/", doors.waited_for, name="phone-waited-for"),
    path("phones/<int:pk>/out/", doors.sign_out, name="phone-out"),
    path("phones/door/", doors.at_the_door, name="at-the-door"),
    path("people/<int:pk>/calendar/", doors.renew_calendar, name="calendar-renew"),
    path("lines/<int:pk>/undo/", journal.take_back, name="undo"),
    path("", include("garden.stock_urls")),
    path("", include("breeding.urls")),
    path("", include("evaluation.urls")),
]
handler400 = "garden.views.site.bad_request"
handler403 = "garden.views.site.forbidden"
handler404 = "garden.views.site.not_found"
handler500 = "garden.views.site.failed"
