"""Names and addresses of the network: whose is this, and is it one of ours?"""

from __future__ import annotations

import ipaddress
from urllib.parse import urlsplit

LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1"})
_PORTS = {"http": 80, "https": 443}


def is_loopback(host: str) -> bool:
    """Whether a host reaches this machine alone."""
    if host in LOOPBACK:
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def is_address(host: str) -> bool:
    """Whether a host is an address and no name.

    >>> is_address("192.168.1.20"), is_address("desk.lan")
    (True, False)
    """
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True


def plain(address: str) -> str:
    """An address as it is compared: a system that speaks both versions wraps the fourth up.

    >>> plain("::ffff:192.0.2.7"), plain("0:0:0::1")
    ('192.0.2.7', '::1')
    """
    try:
        known = ipaddress.ip_address(address)
    except ValueError:
        return address
    mapped = known.ipv4_mapped if isinstance(known, ipaddress.IPv6Address) else None
    return str(known if mapped is None else mapped)


def neighbourhood(address: str) -> str:
    """What counts as one address: IPv4 as it is, IPv6 by the 64 bits that a household is given.

    >>> neighbourhood("2001:db8:1:2:aaaa::1") == neighbourhood("2001:db8:1:2:bbbb::1")
    True
    >>> neighbourhood("::ffff:192.0.2.7")
    '192.0.2.7'
    """
    address = plain(address.partition("%")[0])
    if ":" not in address or not is_address(address):
        return address
    return str(ipaddress.IPv6Network((address, 64), strict=False))


def host_of(header: str) -> str | None:
    """The name in a ``Host`` header, without its port; ``None`` where it makes no sense."""
    found = _parts(f"//{header}")
    return found[1] if found is not None else None


def origin_of(text: str) -> tuple[str, str, int] | None:
    """Scheme, host and port of an ``Origin`` (RFC 6454); ``None`` where it is none.

    >>> origin_of("https://Desk.lan") == ("https", "desk.lan", 443)
    True
    >>> origin_of("null") is None
    True
    """
    found = _parts(text)
    if found is None or found[0] not in _PORTS:
        return None
    scheme, host, port = found
    return scheme, host, _PORTS[scheme] if port is None else port


def _parts(text: str) -> tuple[str, str, int | None] | None:
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError:
        return None
    is_bare = not (parts.path or parts.query or parts.fragment) and "@" not in parts.netloc
    return (parts.scheme, parts.hostname, port) if is_bare and parts.hostname else None
