"""The certificate that the server shows: for the garden's names now, renewed as they change.

At most 397 days: Apple's devices refuse more than 825 days for an authority that somebody added by
hand ("Requirements for trusted certificates in iOS 13 and macOS 10.15", support.apple.com/103769),
and 398 days was long the limit of the CA/Browser Forum's Baseline Requirements for public ones.
The same page of Apple's asks for the names as alternative names, for `serverAuth`, for SHA-2 and
for RSA of 2048 bits or an elliptic curve.
"""

from __future__ import annotations

import ipaddress
import os
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from garden.certificates.authority import BEFORE, Authority, key_usage, pem
from garden.certificates.scope import LOCALHOST, within
from garden.datafolder import write_secret

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

LASTS = timedelta(days=397)
RENEWED_WITHIN = timedelta(days=60)
CHAIN, KEY = "garden.pem", "garden-key.pem"


@dataclass(frozen=True, slots=True)
class Leaf:
    """What the server needs: its certificate with the signer's behind it, and its key."""

    chain: Path
    key: Path
    names: tuple[str, ...]
    ends: datetime
    fresh: bool


def names_for(name: str, addresses: Iterable[str]) -> tuple[str, ...]:
    """What the certificate is to name: the garden's name, this computer, its home addresses.

    Addresses for which the authority may not speak are left out.
    """
    found = [name, LOCALHOST, "127.0.0.1", "::1", *filter(within, addresses)]
    return tuple(dict.fromkeys(each for each in found if each))


def renewed(authority: Authority, names: tuple[str, ...], now: datetime | None = None) -> Leaf:
    """The server's certificate; issued again when names changed or fewer than 60 days are left."""
    now = now or datetime.now(UTC)
    chain, key = authority.folder / CHAIN, authority.folder / KEY
    ends = _good_until(authority, names)
    if ends is not None and ends - now >= RENEWED_WITHIN:
        return Leaf(chain, key, names, ends, fresh=False)
    certificate, fresh_key = _issue(authority, names, now)
    # The key first: a start that breaks off here finds that the two do not go together.
    _replace(key, pem(fresh_key))
    _replace(chain, pem(certificate) + pem(authority.signer))
    return Leaf(chain, key, names, certificate.not_valid_after_utc, fresh=True)


def _good_until(authority: Authority, names: tuple[str, ...]) -> datetime | None:
    """The end of the certificate that lies there; None when it is not just what is wanted."""
    from cryptography import x509
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    try:
        pair = x509.load_pem_x509_certificates((authority.folder / CHAIN).read_bytes())
        key = load_pem_private_key((authority.folder / KEY).read_bytes(), None)
        leaf = pair[0]
        leaf.verify_directly_issued_by(authority.signer)
        named = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (OSError, ValueError, TypeError, InvalidSignature, x509.ExtensionNotFound):
        return None
    whole = pair[1:] == [authority.signer] and key.public_key() == leaf.public_key()
    told = {str(each.value) for each in named}
    return leaf.not_valid_after_utc if whole and told == set(names) else None


def _issue(
    authority: Authority, names: tuple[str, ...], now: datetime
) -> tuple[x509.Certificate, EllipticCurvePrivateKey]:
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

    key = ec.generate_private_key(ec.SECP256R1())
    begins = max(now - BEFORE, authority.signer.not_valid_before_utc)
    # The last second counts as well (RFC 5280, 4.1.2.5).
    ends = min(begins + LASTS - timedelta(seconds=1), authority.signer.not_valid_after_utc)
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Haftbook garden")])
    above = authority.key.public_key()
    return (
        x509.CertificateBuilder(
            authority.signer.subject, subject, key.public_key(), x509.random_serial_number()
        )
        .not_valid_before(begins)
        .not_valid_after(ends)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(key_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), False)
        .add_extension(x509.SubjectAlternativeName([_general(each) for each in names]), False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(above), False)
        .sign(authority.key, hashes.SHA256())
    ), key


def _general(name: str) -> x509.GeneralName:
    from cryptography import x509

    try:
        return x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def _replace(path: Path, text: str) -> None:
    fresh = path.with_name(f"{path.name}.{os.getpid()}")
    write_secret(fresh, text)
    fresh.replace(path)
