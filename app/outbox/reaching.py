"""Where webhooks may go: to public addresses alone, and to the very one that was looked at.

A name can lead to this machine or its network, by mistake or on purpose, and to another address
each time it is asked. So the name is resolved once. Every address that it gives is looked at, one
that is not public refuses the whole, and the connection goes to an address that was looked at.
The certificate is still checked against the name.
"""

import ipaddress
import socket
import ssl
import time
from collections.abc import Callable
from contextlib import suppress
from http.client import HTTPConnection
from urllib.parse import SplitResult, urlsplit

from app.core.errors import InputError
from app.core.quantity.messages import Msg

MOST_URL = 500
_MOST_TRIED = 3  # addresses of one name
_NAT64 = ipaddress.IPv6Network("64:ff9b::/96")  # RFC 6052: the last 32 bits are an IPv4 address
_GIVEN_OUT = ipaddress.IPv6Network("2000::/3")  # all of IPv6 that IANA gives out as unicast
_PRINTED = ipaddress.IPv6Network("3fff::/20")  # RFC 9637: for documents, newer than some Pythons
Address = ipaddress.IPv4Address | ipaddress.IPv6Address
Resolve = Callable[[str, int], list[str]]


class UnreachableError(InputError):
    """An address that nothing of ours may be sent to."""


def resolved_addresses(host: str, port: int) -> list[str]:
    """Return the addresses of a name, as the system resolves it. Errors: OSError."""
    found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    return list(dict.fromkeys(str(one[4][0]) for one in found))


def is_public(address: str) -> bool:
    """Return whether an address is one of the public network's, in whatever form it is written.

    Source:  the IANA registries of special-purpose addresses, as Python's ipaddress has them.
    Example: is_public("192.0.2.7") -> False; is_public("::ffff:10.0.0.1") -> False
    """
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return False
    return all(map(_is_routed, (found, *_inner_addresses(found))))


def _is_routed(one: Address) -> bool:
    """Return whether an address is of the public network by itself.

    Of IPv6 only what is given out, and NAT64: ipaddress calls much else global, like RFC 8215's
    NAT64 within a site, site-local addresses, and whatever is registered after its own release.
    """
    if isinstance(one, ipaddress.IPv6Address) and one not in _NAT64:
        return one in _GIVEN_OUT and one not in _PRINTED and one.is_global
    return one.is_global and not one.is_multicast


def _inner_addresses(found: Address) -> list[Address]:
    """Return the IPv4 addresses that an IPv6 address stands for."""
    if isinstance(found, ipaddress.IPv4Address):
        return []
    inner = [found.sixtofour, *(found.teredo or ())]
    if found in _NAT64:
        inner.append(ipaddress.IPv4Address(int(found) & 0xFFFFFFFF))
    return [one for one in inner if one is not None]


def split_url(url: str, private: str, most: int = MOST_URL) -> SplitResult:
    """Return the parts of an address for a webhook; private: the one host that may be our own.

    Errors: UnreachableError 'webhook-address' where it is no https:// address of another machine.
    """
    try:
        parts = urlsplit(url)
        host, port = parts.hostname or "", parts.port
    except ValueError:
        host, port = "", None
    plain = url.isascii() and url.isprintable() and " " not in url and len(url) <= most
    if not plain or not host or port == 0 or "@" in parts.netloc or parts.fragment:
        raise UnreachableError(
            "webhook-address", Msg("Give an address as https://example.org/hook.")
        )
    schemes = ("https", "http") if is_allowed(parts, private) else ("https",)
    if parts.scheme not in schemes:
        raise UnreachableError("webhook-address", Msg("The address must begin with https://."))
    return parts


def is_allowed(parts: SplitResult, private: str) -> bool:
    """Return whether an address is that of the host that the settings allow, on its port if any."""
    host, _, port = private.lower().partition(":")
    return bool(host) and parts.hostname == host and port in ("", str(port_of(parts)))


def port_of(parts: SplitResult) -> int:
    """Return the port of an address."""
    return parts.port or (443 if parts.scheme == "https" else 80)


def checked_addresses(
    parts: SplitResult, private: str, resolve: Resolve = resolved_addresses
) -> list[str]:
    """Return the addresses that a webhook may be sent to, of the name in its address.

    Errors: UnreachableError 'webhook-private' where one of them is not public; OSError.
    """
    found = resolve(parts.hostname or "", port_of(parts))
    if not is_allowed(parts, private) and not all(is_public(one) for one in found):
        words = Msg("{host} leads into a private network.", host=parts.hostname)
        raise UnreachableError("webhook-private", words)
    return found[:_MOST_TRIED]


class CheckedConnection(HTTPConnection):
    """A connection by HTTP that goes to one of some addresses, whatever its name leads to now.

    seconds: for connecting, all addresses together. Whoever bounds the whole of it calls cut().
    """

    def __init__(self, parts: SplitResult, addresses: list[str], seconds: float) -> None:
        super().__init__(parts.hostname or "", port_of(parts), timeout=seconds)
        self._addresses = addresses
        self._ends = time.monotonic() + seconds
        self._is_cut = False
        self._tls = ssl.create_default_context() if parts.scheme == "https" else None
        self.default_port = 443 if self._tls else 80  # what the header Host leaves out

    def connect(self) -> None:
        """Connect; the certificate must be the name's. Errors: OSError."""
        self.sock = self._connected()
        self.sock.settimeout(self._left())
        if self._tls is not None:
            self.sock = self._tls.wrap_socket(self.sock, server_hostname=self.host)
        if self._is_cut:  # while there was nothing to be cut yet
            raise TimeoutError

    def cut(self) -> None:
        """End it in whatever it does or is about to do, from another thread."""
        self._is_cut = True
        if self.sock is not None:
            with suppress(OSError):  # it is closed already
                self.sock.shutdown(socket.SHUT_RDWR)

    def _left(self) -> float:
        left = self._ends - time.monotonic()
        if left <= 0:
            raise TimeoutError
        return left

    def _connected(self) -> socket.socket:
        error = OSError("the name has no address")
        for at, address in enumerate(self._addresses):
            share = len(self._addresses) - at  # a dead one leaves the others their time
            try:
                return socket.create_connection((address, self.port), self._left() / share)
            except OSError as why:
                error = why
        raise error
