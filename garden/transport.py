"""What differs between a garden opened over http and over https. Free of Django."""

from __future__ import annotations

# No HSTS and no redirect in either: both would lock the name out of http for a garden that goes
# back. Over http there are no cookies for https alone either: they could not sign anybody in.
NOT_GIVEN = ("security.W004", "security.W008")
NOT_OVER_HTTP = ("security.W012", "security.W016")


def settings_over(https: bool) -> dict[str, object]:
    """Django's settings for one or the other.

    `__Host-` (RFC 6265bis, 4.1.3.2) binds a cookie to this very name, over https, for every path:
    another computer of the network cannot set one for it.
    """
    host = "__Host-" if https else ""
    return {
        "HTTPS": https,
        "SESSION_COOKIE_NAME": f"{host}haftbook",
        "SESSION_COOKIE_SECURE": https,
        "CSRF_COOKIE_NAME": f"{host}csrftoken",
        "CSRF_COOKIE_SECURE": https,
        # Browsers ignore this header on plain http and complain about it.
        "SECURE_CROSS_ORIGIN_OPENER_POLICY": "same-origin" if https else None,
        "SILENCED_SYSTEM_CHECKS": [*NOT_GIVEN, *(() if https else NOT_OVER_HTTP)],
    }
