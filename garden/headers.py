"""What every answer says to the browser beside its policy: no sensors, for this garden alone."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

# Nothing here asks for them: a photo is taken by the phone's own camera through a file field.
UNUSED = (
    "accelerometer", "camera", "display-capture", "geolocation", "gyroscope", "magnetometer",
    "microphone", "midi", "payment", "usb",
)  # fmt: skip
HEADERS = {
    "Permissions-Policy": ", ".join(f"{name}=()" for name in UNUSED),
    # Pages of other places may not draw our photos into theirs.
    "Cross-Origin-Resource-Policy": "same-origin",
}


class PlainHeaders:
    """Stands outermost, so that static files and refusals carry them too."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        for name, value in HEADERS.items():
            response.headers.setdefault(name, value)
        return response
