"""The garden's certificate authority: made once, trusted once by each phone.

Two certificates, so that the limits hold wherever they are checked. The *authority* is what a
phone trusts; its key signs one certificate and is thrown away. That one, the *signer*, signs what
the server shows, and its key stays in the folder. Both carry the garden's names as critical
constraints (RFC 5280, 4.2.1.10). Path validation need not read the constraints of a trusted root
(RFC 5280, 6.1.1 d) but must read the signer's: whoever steals the key that there is can speak for
this garden's names and for no other. Keys are ECDSA on P-256, signatures SHA-256; ten years.
"""

from __future__ import annotations

import os
import secrets
import shutil
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from garden.certificates.scope import LOCALHOST, constraints
from garden.datafolder import write_secret

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

FOLDER = "certificates"
LASTS = timedelta(days=3652)
# A phone whose clock is a little behind believes it all the same.
BEFORE = timedelta(days=1)
AUTHORITY, SIGNER, SIGNER_KEY = "authority.pem", "signer.pem", "signer-key.pem"


class Damaged(Exception):
    """The authority cannot be used as it is; a sentence says what to do."""


@dataclass(frozen=True, slots=True)
class Authority:
    """What lies in the folder: the root that phones trust, the signer below it and its key."""

    folder: Path
    root: x509.Certificate
    signer: x509.Certificate
    key: EllipticCurvePrivateKey

    @property
    def name(self) -> str:
        """The garden's name on the home network that it was made for; '' when there was none."""
        from cryptography import x509

        found = self.signer.extensions.get_extension_for_class(x509.NameConstraints)
        names = [each.value for each in found.value.permitted_subtrees or []]
        return next((each for each in names if str(each).endswith(".local")), "")

    @property
    def called(self) -> str:
        """The authority's own name, as a phone's settings list it."""
        from cryptography.x509.oid import NameOID

        return str(self.root.subject.get_attributes_for_oid(NameOID.COMMON_NAME)[0].value)

    @property
    def der(self) -> bytes:
        """The root as a file that phones and browsers take in."""
        from cryptography.hazmat.primitives.serialization import Encoding

        return self.root.public_bytes(Encoding.DER)


def fingerprint(certificate: x509.Certificate) -> str:
    """SHA-256 of a certificate, in pairs of hexadecimal digits as phones show it."""
    from cryptography.hazmat.primitives.hashes import SHA256

    return certificate.fingerprint(SHA256()).hex(" ").upper()


def open_authority(data: Path, name: str, now: datetime | None = None) -> Authority:
    """The authority in a data folder, made when there is none yet.

    `name` only counts for a new one. Raises Damaged when the folder holds something that is no
    whole authority: a new one would be a stranger to every phone that trusts the old one.
    """
    folder, now = data / FOLDER, now or datetime.now(UTC)
    if not folder.exists() or not any(folder.iterdir()):
        _make(folder, name, now)
    return read_authority(data, now)


def read_authority(data: Path, now: datetime | None = None) -> Authority:
    """The authority that lies in a data folder; Damaged when there is none or no whole one."""
    from cryptography import x509
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    folder, now = data / FOLDER, now or datetime.now(UTC)
    try:
        root = x509.load_pem_x509_certificate((folder / AUTHORITY).read_bytes())
        signer = x509.load_pem_x509_certificate((folder / SIGNER).read_bytes())
        key = load_pem_private_key((folder / SIGNER_KEY).read_bytes(), None)
        signer.verify_directly_issued_by(root)
    except (OSError, ValueError, TypeError, InvalidSignature) as error:
        raise Damaged(_advice(folder, "cannot be read or is not whole")) from error
    if not isinstance(key, EllipticCurvePrivateKey) or key.public_key() != signer.public_key():
        raise Damaged(_advice(folder, "has a key that belongs to another one"))
    if signer.not_valid_after_utc <= now:
        raise Damaged(_advice(folder, f"ended on {signer.not_valid_after_utc:%d %B %Y}"))
    return Authority(folder, root, signer, key)


def _advice(folder: Path, wrong: str) -> str:
    return (
        f"The garden's certificate authority in {folder} {wrong}. Put the folder back as it was "
        "from a copy; or move it away: then a new authority is made, and every phone must be led "
        "through trusting it once more. Until then the garden opens with --http."
    )


def _make(folder: Path, name: str, now: datetime) -> None:
    """Write a new authority, whole or not at all."""
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import NameOID

    place = (name.partition(".")[0] or LOCALHOST)[:36]
    mark = secrets.token_hex(3).upper()

    def called(what: str) -> x509.Name:
        return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"{what} {place} {mark}")])

    root_key, key = ec.generate_private_key(ec.SECP256R1()), ec.generate_private_key(ec.SECP256R1())
    root_name, signer_name = called("Haftbook"), called("Haftbook signer")
    root = _certificate(root_name, root_name, root_key, root_key, 1, name, now)
    signer = _certificate(signer_name, root_name, key, root_key, 0, name, now)
    _write(folder, root, signer, key)


def _certificate(
    subject: x509.Name,
    issuer: x509.Name,
    key: EllipticCurvePrivateKey,
    issuer_key: EllipticCurvePrivateKey,
    path_length: int,
    name: str,
    now: datetime,
) -> x509.Certificate:
    """A certificate that may sign others, within the garden's names (RFC 5280, 4.2.1)."""
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.x509.oid import ExtendedKeyUsageOID

    built = (
        x509.CertificateBuilder(issuer, subject, key.public_key(), x509.random_serial_number())
        .not_valid_before(now - BEFORE)
        .not_valid_after(now + LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=path_length), critical=True)
        .add_extension(key_usage(signs_certificates=True), critical=True)
        .add_extension(constraints(name), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), False)
    )
    if key is not issuer_key:
        # For servers alone: neither mail nor programs may be signed below it.
        built = built.add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), False)
        above = x509.AuthorityKeyIdentifier.from_issuer_public_key(issuer_key.public_key())
        built = built.add_extension(above, False)
    return built.sign(issuer_key, hashes.SHA256())


def key_usage(*, signs_certificates: bool) -> x509.KeyUsage:
    """What a key is for: signing certificates, or the handshake of a server."""
    from cryptography import x509

    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs_certificates,
        crl_sign=False,
        encipher_only=False,
        decipher_only=False,
    )


def pem(thing: x509.Certificate | EllipticCurvePrivateKey) -> str:
    """A certificate or an unlocked key as text."""
    from cryptography import x509
    from cryptography.hazmat.primitives import serialization as forms

    if isinstance(thing, x509.Certificate):
        return thing.public_bytes(forms.Encoding.PEM).decode()
    return thing.private_bytes(
        forms.Encoding.PEM, forms.PrivateFormat.PKCS8, forms.NoEncryption()
    ).decode()


def _write(
    folder: Path, root: x509.Certificate, signer: x509.Certificate, key: EllipticCurvePrivateKey
) -> None:
    fresh = folder.with_name(f"{folder.name}.{os.getpid()}")
    shutil.rmtree(fresh, ignore_errors=True)
    fresh.mkdir(mode=0o700)
    for name, thing in ((AUTHORITY, root), (SIGNER, signer), (SIGNER_KEY, key)):
        write_secret(fresh / name, pem(thing))
    try:
        if folder.exists():
            folder.rmdir()
        fresh.rename(folder)
    except OSError:
        # Another start was quicker: what it wrote holds.
        shutil.rmtree(fresh, ignore_errors=True)
