"""Every address of the site."""

from __future__ import annotations

from django.urls import include, path

from garden import phone
from garden.views import journal, site

urlpatterns = [
    path("sign-in/", site.SignIn.as_view(), name="sign-in"),
    path("sign-out/", site.SignOut.as_view(), name="sign-out"),
    path("hello/", phone.hello, name="hello"),
    path("lines/<int:pk>/undo/", journal.take_back, name="undo"),
    path("", include("garden.stock_urls")),
    path("", include("breeding.urls")),
    path("", include("evaluation.urls")),
]
handler400 = "garden.views.site.bad_request"
handler403 = "garden.views.site.forbidden"
handler404 = "garden.views.site.not_found"
handler500 = "garden.views.site.failed"
