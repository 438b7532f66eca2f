"""The garden's certificates, parsed again by the library and judged by TLS libraries."""

from __future__ import annotations

import plistlib
import shutil
import ssl
import stat
import subprocess
import urllib.error
import urllib.request
from datetime import UTC, datetime, timedelta
from ipaddress import ip_network
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric.ec import SECP256R1
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.x509.oid import ExtendedKeyUsageOID

from garden.certificates import (
    Authority,
    Damaged,
    fingerprint,
    names_for,
    open_authority,
    phone_profile,
    read_authority,
    renewed,
)
from garden.certificates.scope import NETWORKS, within
from tests.secured import forged, served, trusting

NAME = "millrace.local"
HOME = "192.168.7.9"


@pytest.fixture
def authority(tmp_path: Path) -> Authority:
    return open_authority(tmp_path, NAME)


def extension(certificate: x509.Certificate, kind: type) -> x509.Extension:
    return certificate.extensions.get_extension_for_class(kind)


def leaf_of(authority: Authority) -> x509.Certificate:
    return x509.load_pem_x509_certificates((authority.folder / "garden.pem").read_bytes())[0]


@pytest.mark.parametrize("which", ["root", "signer"])
def test_authority__speaks_for_the_garden_alone(authority: Authority, which: str) -> None:
    found = extension(getattr(authority, which), x509.NameConstraints)
    assert found.critical
    assert found.value.excluded_subtrees is None
    told = {each.value for each in found.value.permitted_subtrees}
    assert told == {NAME, "localhost", *map(ip_network, NETWORKS)}
    assert all(network.is_private for network in told - {NAME, "localhost"})


@pytest.mark.parametrize(("which", "length"), [("root", 1), ("signer", 0)])
def test_authority__may_sign_so_far_and_no_further(
    authority: Authority, which: str, length: int
) -> None:
    certificate = getattr(authority, which)
    basic = extension(certificate, x509.BasicConstraints)
    assert (basic.critical, basic.value.ca, basic.value.path_length) == (True, True, length)
    usage = extension(certificate, x509.KeyUsage)
    assert usage.critical
    assert usage.value.key_cert_sign
    assert not usage.value.digital_signature
    assert isinstance(certificate.public_key().curve, SECP256R1)
    assert isinstance(certificate.signature_hash_algorithm, SHA256)
    lasts = certificate.not_valid_after_utc - certificate.not_valid_before_utc
    assert timedelta(days=3650) <= lasts <= timedelta(days=3655)


def test_signer__is_for_servers_and_points_at_the_root(authority: Authority) -> None:
    usage = extension(authority.signer, x509.ExtendedKeyUsage).value
    assert list(usage) == [ExtendedKeyUsageOID.SERVER_AUTH]
    above = extension(authority.signer, x509.AuthorityKeyIdentifier).value.key_identifier
    assert above == extension(authority.root, x509.SubjectKeyIdentifier).value.digest


def test_folder__holds_the_signers_key_and_not_the_roots(authority: Authority) -> None:
    names = {path.name for path in authority.folder.iterdir()}
    assert names == {"authority.pem", "signer.pem", "signer-key.pem"}
    assert authority.key.public_key() == authority.signer.public_key()
    assert authority.key.public_key() != authority.root.public_key()


def test_folder__is_closed_to_everybody_else(authority: Authority) -> None:
    renewed(authority, names_for(NAME, [HOME]))
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in authority.folder.iterdir()}
    assert {"signer-key.pem", "garden-key.pem"} <= set(modes)
    assert set(modes.values()) == {0o600}
    assert stat.S_IMODE(authority.folder.stat().st_mode) == 0o700


def test_authority__stays_on_the_next_start(authority: Authority, tmp_path: Path) -> None:
    again = open_authority(tmp_path, "elsewhere.local")
    assert again.root == authority.root
    assert (again.name, again.called) == (NAME, authority.called)
    assert len(authority.called) < 64


def test_authority__without_a_name_of_its_own(tmp_path: Path) -> None:
    authority = open_authority(tmp_path, "")
    assert authority.name == ""
    assert names_for(authority.name, [HOME]) == ("localhost", "127.0.0.1", "::1", HOME)


@pytest.mark.parametrize("name", ["authority.pem", "signer.pem", "signer-key.pem"])
@pytest.mark.parametrize("damage", ["gone", "empty", "cut", "another"])
def test_authority__damaged_is_said_and_never_made_anew(
    authority: Authority, tmp_path: Path, name: str, damage: str
) -> None:
    path, other = authority.folder / name, tmp_path / "other"
    other.mkdir()
    content = path.read_bytes()
    path.unlink()
    if damage == "another":
        path.write_bytes((open_authority(other, NAME).folder / name).read_bytes())
    elif damage != "gone":
        path.write_bytes(content[:60] if damage == "cut" else b"")
    before = {each.name: each.read_bytes() for each in authority.folder.iterdir()}
    with pytest.raises(Damaged, match=r"certificate authority in .* Put the folder back"):
        open_authority(tmp_path, NAME)
    assert {each.name: each.read_bytes() for each in authority.folder.iterdir()} == before


def test_authority__past_its_end_is_said(authority: Authority, tmp_path: Path) -> None:
    with pytest.raises(Damaged, match="ended on"):
        open_authority(tmp_path, NAME, now=datetime.now(UTC) + timedelta(days=3700))


def test_read_authority__never_makes_one(tmp_path: Path) -> None:
    with pytest.raises(Damaged):
        read_authority(tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_leaf__names_the_garden_and_its_addresses_now(authority: Authority) -> None:
    found = renewed(authority, names_for(NAME, [HOME, "10.0.0.4"]))
    assert found.fresh
    leaf = leaf_of(authority)
    told = extension(leaf, x509.SubjectAlternativeName).value
    assert told.get_values_for_type(x509.DNSName) == [NAME, "localhost"]
    addresses = [str(each) for each in told.get_values_for_type(x509.IPAddress)]
    assert addresses == ["127.0.0.1", "::1", HOME, "10.0.0.4"]
    lasts = leaf.not_valid_after_utc - leaf.not_valid_before_utc
    assert timedelta(days=396) < lasts <= timedelta(days=397)
    usage = extension(leaf, x509.ExtendedKeyUsage).value
    assert list(usage) == [ExtendedKeyUsageOID.SERVER_AUTH]
    assert not extension(leaf, x509.BasicConstraints).value.ca
    above = extension(leaf, x509.AuthorityKeyIdentifier).value.key_identifier
    assert above == extension(authority.signer, x509.SubjectKeyIdentifier).value.digest
    assert extension(leaf, x509.SubjectKeyIdentifier).value.digest


@pytest.mark.parametrize("address", ["192.0.2.2", "169.254.1.1", "8.8.8.8", "2001:db8::1", "x"])
def test_names_for__leaves_out_what_the_authority_may_not_speak_for(address: str) -> None:
    assert not within(address)
    assert address not in names_for(NAME, [address])


def test_leaf__stays_while_names_and_time_suffice(authority: Authority) -> None:
    names = names_for(NAME, [HOME])
    first = renewed(authority, names)
    before = leaf_of(authority)
    later = datetime.now(UTC) + timedelta(days=330)
    assert not renewed(authority, names, now=later).fresh
    assert leaf_of(authority) == before
    assert renewed(authority, names).ends == first.ends


@pytest.mark.parametrize("why", ["address", "time", "key gone", "chain cut", "other key"])
def test_leaf__is_issued_again_when_it_must_be(authority: Authority, why: str) -> None:
    names, now = names_for(NAME, [HOME]), datetime.now(UTC)
    first = renewed(authority, names)
    serial = leaf_of(authority).serial_number
    if why == "address":
        names = names_for(NAME, ["10.0.0.4"])
    elif why == "time":
        now += timedelta(days=340)
    elif why == "key gone":
        first.key.unlink()
    elif why == "chain cut":
        first.chain.write_bytes(first.chain.read_bytes()[:-40])
    else:
        first.key.write_bytes((authority.folder / "signer-key.pem").read_bytes())
    again = renewed(authority, names, now)
    assert again.fresh
    assert leaf_of(authority).serial_number != serial
    assert again.ends - now > timedelta(days=390)
    ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(again.chain, again.key)


def test_leaf__does_not_outlive_the_authority(authority: Authority) -> None:
    late = authority.signer.not_valid_after_utc - timedelta(days=90)
    assert (
        renewed(authority, names_for(NAME, []), late).ends == authority.signer.not_valid_after_utc
    )


def test_profile__carries_the_certificate_as_apple_devices_read_it(authority: Authority) -> None:
    profile = plistlib.loads(phone_profile(authority))
    assert (profile["PayloadType"], profile["PayloadVersion"]) == ("Configuration", 1)
    [payload] = profile["PayloadContent"]
    assert payload["PayloadType"] == "com.apple.security.root"
    assert x509.load_der_x509_certificate(payload["PayloadContent"]) == authority.root
    assert phone_profile(authority) == phone_profile(authority)


@pytest.mark.skipif(shutil.which("openssl") is None, reason="no openssl on this machine")
@pytest.mark.parametrize(("host", "good"), [(NAME, True), ("bank.example", False)])
def test_openssl__verifies_the_chain_for_the_gardens_name_alone(
    authority: Authority, host: str, good: bool
) -> None:
    renewed(authority, names_for(NAME, [HOME]))
    folder = authority.folder
    told = subprocess.run(
        ["openssl", "verify", "-x509_strict", "-purpose", "sslserver", "-verify_hostname", host,
         "-CAfile", folder / "authority.pem", "-untrusted", folder / "signer.pem",
         folder / "garden.pem"],
        capture_output=True, text=True, timeout=30,
    )  # fmt: skip
    assert (told.returncode == 0) is good, told


@pytest.mark.skipif(shutil.which("openssl") is None, reason="no openssl on this machine")
def test_openssl__knows_the_same_fingerprint(authority: Authority) -> None:
    told = subprocess.run(
        ["openssl", "x509", "-noout", "-fingerprint", "-sha256", "-in",
         authority.folder / "authority.pem"],
        capture_output=True, text=True, timeout=30, check=True,
    ).stdout  # fmt: skip
    assert told.strip().partition("=")[2].replace(":", " ") == fingerprint(authority.root)


@pytest.mark.parametrize(
    ("name", "why"),
    [("localhost", ""), ("bank.example", "permitted subtree"), ("8.8.8.8", "permitted subtree")],
)
def test_stolen_key__signs_for_no_foreign_name(
    authority: Authority, tmp_path: Path, name: str, why: str
) -> None:
    """What is told of itself to be a bank is refused for its name's sake, not for the root's."""
    context = trusting(authority.folder / "authority.pem")
    context.check_hostname = False
    opener = urllib.request.build_opener(
        urllib.request.ProxyHandler({}), urllib.request.HTTPSHandler(context=context)
    )
    with served(forged(tmp_path, name)) as port:
        if why:
            with pytest.raises(urllib.error.URLError, match=why):
                opener.open(f"https://127.0.0.1:{port}/", timeout=10)
        else:
            assert opener.open(f"https://127.0.0.1:{port}/", timeout=10).read() == b"a stranger"
