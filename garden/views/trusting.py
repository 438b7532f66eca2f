"""What a page at the desk shows about trusting the garden, before a phone is let in."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.conf import settings
from django.http import HttpRequest

from garden.certificates import Damaged, fingerprint, read_authority
from garden.hosts import home_addresses
from garden.pairing import picture


def trust_steps(request: HttpRequest) -> dict[str, Any]:
    """Context of `garden/_trust_steps.html`: the code that leads there, or what http gives.

    No queries. Drawing the code takes a few milliseconds.
    """
    if not (request.is_secure() and settings.TRUST_PORT):
        return {"trust": {"secure": request.is_secure()}}
    try:
        authority = read_authority(Path(settings.DATA_DIR))
    except Damaged as error:
        return {"trust": {"secure": True, "damaged": str(error)}}
    addresses = home_addresses()
    scanned = f"http://{addresses[0]}:{settings.TRUST_PORT}/" if addresses else ""
    return {
        "trust": {
            "secure": True,
            "address": scanned,
            "code": picture(scanned) if scanned else "",
            "called": authority.called,
            "fingerprint": fingerprint(authority.root),
        }
    }
