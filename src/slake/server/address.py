"""The one address slake listens on, and the code a device on the network must know. Knows no Django."""

from __future__ import annotations

import errno
import ipaddress
import os
import secrets
import socket

from slake.ground.problems import Problem

LOOPBACK = "127.0.0.1"
ALPHABET = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"
"""No letter that reads like a digit."""
CODE_LENGTH = 8


def new_code() -> str:
    return "".join(secrets.choice(ALPHABET) for _ in range(CODE_LENGTH))


def shown_code(code: str) -> str:
    return f"{code[:4]}-{code[4:]}"


def lan_address(typed: str) -> str:
    """One address of this machine. Raises Problem for a name, for "all addresses", or for what is no address."""
    try:
        address = ipaddress.ip_address(typed.strip())
    except ValueError as error:
        raise Problem(
            f"“{typed[:60]}” is no address: give the one this machine has on your network, such as 192.168.1.20"
        ) from error
    if address.is_unspecified or address.is_multicast:
        raise Problem(f"{address} means every address: give the one this machine has on your network")
    if address.version != 4:
        raise Problem(f"{address} is an IPv6 address: give the IPv4 one this machine has on your network")
    if address.is_global:
        raise Problem(
            f"{address} can be reached from the whole internet: slake serves loopback and local networks only"
        )
    return str(address)


def bind(address: str, port: int) -> socket.socket:
    """Take the port. Raises Problem when it is busy, not allowed, or the address is not this machine's."""
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if os.name == "posix":  # elsewhere this option would let two programs share the port
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((address, port))
    except OSError as error:
        listener.close()
        raise Problem(_why_not(error, address, port)) from error
    return listener


def _why_not(error: OSError, address: str, port: int) -> str:
    told = {
        errno.EADDRINUSE: f"port {port} is busy, perhaps with another slake: stop that one, or add --port {port + 1}",
        errno.EADDRNOTAVAIL: f"{address} is not an address of this machine: look it up in its network settings",
        errno.EACCES: f"port {port} is not open to you: add --port 8000 or another above 1023",
    }
    return told.get(error.errno or 0, f"{address}:{port} cannot be served ({error.strerror}): try another --port")
