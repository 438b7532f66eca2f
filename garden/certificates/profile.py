"""The authority as a configuration profile, the way in which iPhones and Macs take one in.

Keys by Apple's "Configuration Profile Reference": a profile with one payload of the kind
`com.apple.security.root`. Trusting it for servers remains a switch of its own in the settings.
"""

from __future__ import annotations

import plistlib
import uuid

from garden.certificates.authority import Authority


def phone_profile(authority: Authority) -> bytes:
    """The profile as XML; the same authority always gives the same one."""
    root = uuid.uuid5(uuid.NAMESPACE_OID, authority.der.hex())
    payload = {
        "PayloadType": "com.apple.security.root",
        "PayloadVersion": 1,
        "PayloadIdentifier": f"haftbook.authority.{root}",
        "PayloadUUID": str(root).upper(),
        "PayloadDisplayName": authority.called,
        "PayloadCertificateFileName": "haftbook.crt",
        "PayloadContent": authority.der,
    }
    whole = uuid.uuid5(root, "profile")
    profile = {
        "PayloadType": "Configuration",
        "PayloadVersion": 1,
        "PayloadIdentifier": f"haftbook.profile.{whole}",
        "PayloadUUID": str(whole).upper(),
        "PayloadDisplayName": authority.called,
        "PayloadDescription": "Lets this device recognise the garden's own computer on the home "
        "network. It can speak for no other name.",
        "PayloadRemovalDisallowed": False,
        "PayloadContent": [payload],
    }
    return plistlib.dumps(profile, sort_keys=False)
