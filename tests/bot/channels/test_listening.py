"""Listening on a port."""

import pytest

from bot.channels.listening import LOOPBACK, PortError, listen


def test_an_address_that_is_not_this_machines_is_told():
    with pytest.raises(PortError, match=r"^Nothing can listen on nowhere.invalid:80 \(.+\); set OVIPOST_PORT "):
        listen("nowhere.invalid", 80, "OVIPOST_PORT")


def test_a_port_that_is_taken_is_told_in_one_sentence_with_its_variable(unused_tcp_port):
    with listen(LOOPBACK, unused_tcp_port, "X"), pytest.raises(PortError) as caught:
        listen(LOOPBACK, unused_tcp_port, "OVIPOST_PORT")

    assert str(caught.value) == (
        f"Nothing can listen on 127.0.0.1:{unused_tcp_port} (address already in use); "
        "set OVIPOST_PORT to a port that is free."
    )
