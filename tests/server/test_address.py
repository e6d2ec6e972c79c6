"""The one address that is served."""

from __future__ import annotations

import socket

import pytest

from slake.ground.problems import Problem
from slake.server.address import ALPHABET, bind, lan_address, new_code, shown_code


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("0.0.0.0", "means every address"),
        ("::", "means every address"),
        ("224.0.0.1", "means every address"),
        ("laptop.lan", "is no address"),
        ("", "is no address"),
        ("192.168.1", "is no address"),
        ("fe80::1", "IPv6"),
        ("8.8.8.8", "whole internet"),
    ],
)
def test_an_address_that_is_not_one_of_a_local_network_is_refused(typed: str, told: str):
    with pytest.raises(Problem, match=told):
        lan_address(typed)


@pytest.mark.parametrize("typed", ["192.168.1.20", " 10.0.0.7 ", "172.16.3.4", "127.0.0.1"])
def test_an_address_of_a_local_network_is_taken(typed: str):
    assert lan_address(typed) == typed.strip()


def test_an_address_of_another_machine_is_told():
    """192.0.2.0/24 is kept free for documentation (RFC 5737), so no machine has it."""
    with pytest.raises(Problem, match="not an address of this machine"):
        bind("192.0.2.1", 0)


def test_a_busy_port_is_one_sentence():
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(Problem, match=f"port {port} is busy.*--port {port + 1}"):
            bind("127.0.0.1", port)


def test_a_code_has_eight_plain_signs_and_differs_each_time():
    codes = {new_code() for _ in range(50)}
    assert len(codes) == 50
    assert all(len(code) == 8 and set(code) <= set(ALPHABET) for code in codes)
    assert not set("01OIL") & set(ALPHABET)
    assert shown_code("ABCDEFGH") == "ABCD-EFGH"
