"""Addresses of this machine in its own network, found without asking anybody."""

from __future__ import annotations

import socket
from ipaddress import IPv4Address, ip_address


def own_addresses() -> tuple[str, ...]:
    """IPv4 addresses that others in the house can reach this machine by, the likeliest first."""
    found = dict.fromkeys([*_towards("10.254.254.254"), *_towards("192.168.254.254"), *_of_the_name()])
    return tuple(address for address in found if is_of_a_house(address))


def is_of_a_house(address: str) -> bool:
    """Whether an address is of a private network and not just of this machine.

    >>> [is_of_a_house(one) for one in ("192.168.1.20", "127.0.0.1", "8.8.8.8", "169.254.7.7", "fe80::1")]
    [True, False, False, False, False]
    """
    try:
        found = ip_address(address)
    except ValueError:
        return False
    is_usable = not (found.is_loopback or found.is_link_local or found.is_unspecified)
    return isinstance(found, IPv4Address) and found.is_private and is_usable


def _towards(address: str) -> list[str]:
    """The address that a packet would go out from; none is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as never_used:
        try:
            never_used.connect((address, 9))
        except OSError:
            return []
        return [str(never_used.getsockname()[0])]


def _of_the_name() -> list[str]:
    try:
        found = socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET, socket.SOCK_STREAM)
    except OSError:
        return []
    return [str(one[4][0]) for one in found]
