"""Where the site can be reached: is the port free, and what do other machines call us."""

from __future__ import annotations

import errno
import socket


class CannotListen(Exception):
    """The sentence says why, and what to do."""


def everywhere(host: str) -> bool:
    return host in ("0.0.0.0", "::")  # noqa: S104 (asked for by the builder)


def free_port(host: str, port: int) -> int:
    """The port, once it is known that we may listen there; for 0, one that is free."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family) as trial:
        trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((host, port))
            trial.listen(1)
        except (OSError, OverflowError) as reason:
            raise CannotListen(_why_not(host, port, reason)) from None
        return int(trial.getsockname()[1])


def _why_not(host: str, port: int, reason: Exception) -> str:
    if isinstance(reason, OSError):
        if reason.errno == errno.EADDRINUSE:
            return (
                f"Port {port} is in use by another program. Stop that one, or choose another "
                f"port: manage.py serve --port {port + 1}"
            )
        if reason.errno == errno.EACCES:
            return f"Port {port} is kept for the system; choose one above 1023."
        if reason.errno == errno.EADDRNOTAVAIL or isinstance(reason, socket.gaierror):
            return f"This machine has no address “{host}”."
    return f"Cannot listen at {host}, port {port}: {reason}"


def address_in_the_network() -> str | None:
    """The address by which a phone in the same network reaches this machine, if it has one."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            # Sends nothing: it only asks the kernel which way it would go (RFC 5737 address).
            asked.connect(("192.0.2.1", 9))
        except OSError:
            return None
        return str(asked.getsockname()[0])


def in_an_address(host: str) -> str:
    """The host as it stands in an address.

    >>> in_an_address("::1"), in_an_address("127.0.0.1")
    ('[::1]', '127.0.0.1')
    """
    return f"[{host}]" if ":" in host else host
