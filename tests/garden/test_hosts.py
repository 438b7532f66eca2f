from __future__ import annotations

from types import SimpleNamespace

import pytest
from django.http.request import validate_host

from garden import hosts
from garden.hosts import LocalHosts, home_addresses


def adapters(*addresses: str) -> list[SimpleNamespace]:
    ips = [SimpleNamespace(ip=address, is_IPv4=":" not in address) for address in addresses]
    return [SimpleNamespace(ips=ips)]


@pytest.fixture
def network(monkeypatch):
    def join(*addresses: str) -> None:
        monkeypatch.setattr(hosts.ifaddr, "get_adapters", lambda: adapters(*addresses))

    monkeypatch.setattr(hosts.socket, "gethostname", lambda: "Millrace")
    join()
    return join


def test_home_addresses__the_likeliest_first(network) -> None:
    network("10.0.0.4", "fe80::1", "127.0.0.1", "192.168.7.9")
    assert home_addresses() == ["192.168.7.9", "10.0.0.4"]


def test_home_addresses__no_network(network) -> None:
    network("127.0.0.1")
    assert home_addresses() == []


@pytest.mark.parametrize(
    "host", ["localhost", "127.0.0.1", "[::1]", "millrace.local", "192.168.7.9", "iris.example"]
)
def test_local_hosts__its_own_names(network, host: str) -> None:
    network("192.168.7.9")
    assert validate_host(host, LocalHosts(" iris.example ,"))


@pytest.mark.parametrize("host", ["evil.example", "192.168.7.10", "localhost.evil.example", ""])
def test_local_hosts__no_other_name(network, host: str) -> None:
    network("192.168.7.9")
    assert not validate_host(host, LocalHosts())


def test_local_hosts__follows_to_another_network(network, monkeypatch) -> None:
    clock = SimpleNamespace(now=100.0)
    monkeypatch.setattr(hosts.time, "monotonic", lambda: clock.now)
    network("192.168.7.9")
    allowed = LocalHosts()
    assert "192.168.7.9" in list(allowed)
    network("10.1.1.1")
    assert "10.1.1.1" not in list(allowed)
    clock.now += hosts.REFRESH_SECONDS + 1
    assert "10.1.1.1" in list(allowed)
    assert "192.168.7.9" not in list(allowed)
