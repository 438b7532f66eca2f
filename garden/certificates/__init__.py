"""The garden's own certificates: an authority that speaks for this garden alone, and what the
server shows. Free of Django.

    authority = open_authority(folder, "millrace.local")
    leaf = renewed(authority, names_for(authority.name, ["192.168.7.9"]))

Standards: X.509 certificates and their path validation by RFC 5280 (Cooper and others, 2008),
names of a server by RFC 9525 (Saint-Andre and Salz, 2023).
"""

from __future__ import annotations

from garden.certificates.authority import (
    Authority,
    Damaged,
    fingerprint,
    open_authority,
    read_authority,
)
from garden.certificates.leaf import Leaf, names_for, renewed
from garden.certificates.profile import phone_profile

__all__ = [
    "Authority",
    "Damaged",
    "Leaf",
    "fingerprint",
    "names_for",
    "open_authority",
    "phone_profile",
    "read_authority",
    "renewed",
]
