"""Where a phone finds this machine, and what the terminal shows of it."""

import socket

from shopbook.commands.places import LOOPBACK, draw_code, find_places, is_taken


def test_loopback_is_no_place_in_the_shops_network() -> None:
    places = find_places()
    assert not any(address.startswith("127.") for address in places.addresses)
    assert all(socket.inet_aton(address) for address in places.addresses)
    assert socket.gethostname().lower() in places.hosts


def test_a_port_is_taken_while_somebody_listens() -> None:
    with socket.socket() as other:
        other.bind((LOOPBACK, 0))
        port = other.getsockname()[1]
        other.listen()
        assert is_taken(LOOPBACK, port)
    assert not is_taken(LOOPBACK, port)


def test_a_port_is_free_again_at_once_when_its_server_ends() -> None:
    with socket.create_server((LOOPBACK, 0)) as served:
        port = served.getsockname()[1]
        with socket.create_connection((LOOPBACK, port)) as browser:
            kept_alive, _ = served.accept()
            # The side that closes first keeps the port busy for a while (RFC 9293, 3.6.1).
            kept_alive.close()
            assert browser.recv(1) == b""
    assert not is_taken(LOOPBACK, port)


def test_the_drawn_code_is_a_square_of_blocks() -> None:
    lines = draw_code("http://192.0.2.7:8210/").rstrip().splitlines()
    assert len({len(line) for line in lines}) == 1
    # Two rows of modules a line; 21 modules and four for each step of the version (ISO/IEC 18004), two quiet each side.
    assert (len(lines[0]) - 4 - 21) % 4 == 0
    assert len(lines) == (len(lines[0]) + 1) // 2
