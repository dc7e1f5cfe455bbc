"""Where the front listens, and the one address that browsers may reach it by."""

from __future__ import annotations

from dataclasses import dataclass
from ipaddress import ip_address
from urllib.parse import urlsplit

from traveller.errors import InputError

STANDARD_PORTS = {"http": 80, "https": 443}


def loopback(host: str) -> str:
    """The address to listen at; InputError for anything that other machines could reach."""
    meant = "127.0.0.1" if host.casefold() == "localhost" else host.strip("[]")
    try:
        if ip_address(meant).is_loopback:
            return meant
    except ValueError:
        pass
    raise InputError(
        f"{host} is not this machine alone. What goes over the network has to be encrypted, and that is not done here: "
        "leave --host at 127.0.0.1, put a web server of yours with a certificate (TLS) in front of it on this machine, "
        "and name its address with --address https://... How: docs/tablet.md."
    )


@dataclass(frozen=True)
class Address:
    """As a browser sees it. `host` is what it sends as Host, `origin` what it sends as Origin."""

    scheme: str
    host: str

    @property
    def origin(self) -> str:
        return f"{self.scheme}://{self.host}"

    @property
    def socket(self) -> str:
        """The origin of its websocket."""
        return f"{'wss' if self.encrypted else 'ws'}://{self.host}"

    @property
    def encrypted(self) -> bool:
        return self.scheme == "https"


def served_at(address: str, host: str, port: int) -> Address:
    """The address that was named, else the one that is listened at."""
    if not address:
        return _address("http", host, port)
    try:
        parts = urlsplit(address)
        named, at = parts.hostname or "", parts.port
    except ValueError:
        raise InputError(f'"{address}" is not an address: https://name, with :port where it is not 443.') from None
    if not named or parts.username or parts.path.strip("/") or parts.query or parts.fragment:
        raise InputError(f'"{address}": only https://name, with :port where it is not 443, and nothing behind it.')
    if parts.scheme == "http":
        try:
            loopback(named)
        except InputError:
            raise InputError(
                f'"{address}": over a network only https, else everybody on it can read along, PINs too.'
            ) from None
    elif parts.scheme != "https":
        raise InputError(f'"{address}": an address begins with https://.')
    return _address(parts.scheme, named, at or STANDARD_PORTS[parts.scheme])


def _address(scheme: str, host: str, port: int) -> Address:
    """Browsers leave the standard port out, and put an IPv6 address into brackets."""
    name = f"[{host}]" if ":" in host else host.casefold()
    return Address(scheme, name if port == STANDARD_PORTS[scheme] else f"{name}:{port}")
