"""For whom the garden's authority may speak: its own name, this computer, home networks."""

from __future__ import annotations

import ipaddress
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cryptography import x509

LOCALHOST = "localhost"
# Private addresses (RFC 1918), those of IPv6 (RFC 4193), and the computer itself.
NETWORKS = (
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "127.0.0.0/8",
    "fc00::/7",
    "::1/128",
)


def within(address: str) -> bool:
    """Whether an IP address lies in a network that the authority may speak for."""
    try:
        ip = ipaddress.ip_address(address)
    except ValueError:
        return False
    return any(ip in ipaddress.ip_network(network) for network in NETWORKS)


def constraints(name: str) -> x509.NameConstraints:
    """The only names and addresses that certificates below may carry (RFC 5280, 4.2.1.10).

    `name` is the garden's name on the home network, such as `millrace.local`; '' for none.
    """
    from cryptography import x509

    names = [x509.DNSName(each) for each in dict.fromkeys((name, LOCALHOST)) if each]
    networks = [x509.IPAddress(ipaddress.ip_network(each)) for each in NETWORKS]
    return x509.NameConstraints(permitted_subtrees=[*names, *networks], excluded_subtrees=None)
