"""Bare requests and a listener to the live channel, for tests that are not polite."""

import contextlib
import json
import re
import socket
import threading
import time

from websockets.exceptions import ConnectionClosed
from websockets.sync.client import connect

#: A page notices a feed that is late by more than this; the heartbeat is 0.4 s. [s]
LATE_S = 1.0


def ask(port, head, body=b"", host="127.0.0.1", source=None, wait_s=15.0):
    """Send bytes as they are; the status of the answer, or 0 where the line was closed without."""
    with contextlib.suppress(ConnectionError, TimeoutError):
        line = socket.create_connection(
            (host, port), wait_s, source_address=(source, 0) if source else None
        )
        with line:
            with contextlib.suppress(ConnectionError):
                line.sendall(head + body)
            return status_of(answer_on(line))
    return 0


def answer_on(line, most=65536):
    """What comes back until the other end closes or has sent a whole head and some."""
    found = b""
    with contextlib.suppress(ConnectionError):
        while len(found) < most and (more := line.recv(65536)):
            found += more
            if b"\r\n\r\n" in found and b"content-length: 0" in found.lower():
                break
    return found


def status_of(answer):
    """The status of an answer; 0 where there is none."""
    found = re.match(rb"HTTP/1\.[01] (\d{3})", answer)
    return int(found[1]) if found else 0


def head(method, path, **headers):
    """The head of a request, closed after its answer."""
    lines = [
        f"{method} {path} HTTP/1.1",
        *(f"{key.replace('_', '-')}: {value}" for key, value in headers.items()),
    ]
    return ("\r\n".join([*lines, "Connection: close"]) + "\r\n\r\n").encode("latin-1")


def handshake(port, path="/ws/live/1", host=None, **headers):
    """The head of a WebSocket's request."""
    lines = [
        f"GET {path} HTTP/1.1", f"Host: {host or f'127.0.0.1:{port}'}", "Upgrade: websocket",
        "Connection: Upgrade", "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==",
        "Sec-WebSocket-Version: 13", *(f"{key}: {value}" for key, value in headers.items()),
    ]  # fmt: skip
    return ("\r\n".join(lines) + "\r\n\r\n").encode("latin-1")


def refused(status):
    """A request got nothing: an answer of 4xx, or a closed line."""
    return status == 0 or 400 <= status < 500


class Listening:
    """What one page hears."""

    def __init__(self):
        self.at_s = []
        self.seqs = []
        self.closed = None

    @property
    def longest_gap_s(self):
        return max((b - a for a, b in zip(self.at_s, self.at_s[1:], strict=False)), default=0.0)


def listen(shop, run=1, base=None, cookie="", since=0, boot=""):
    """A page's live channel."""
    base = base or shop.here
    address = f"{base.replace('http', 'ws')}/ws/live/{run}?since={since}&boot={boot}"
    headers = {"Cookie": cookie} if cookie else {}
    return connect(address, origin=base, additional_headers=headers, proxy=None, open_timeout=10)


def until_closed(line, wait_s=10.0):
    """Hear a channel out: its code and reason as it is closed."""
    try:
        while True:
            line.recv(timeout=wait_s)
    except ConnectionClosed as closed:
        # Cut off without a word is 1006, as browsers say it.
        return (closed.rcvd.code, closed.rcvd.reason) if closed.rcvd else (1006, "")


@contextlib.contextmanager
def undisturbed(shop, run=1):
    """A page that is open meanwhile; it must hear all of it, and never late."""
    heard = Listening()
    ready = threading.Event()

    def hear(line):
        try:
            while True:
                message = json.loads(line.recv())
                heard.at_s.append(time.monotonic())
                heard.seqs += [row[0] for row in message.get("samples", [])]
                ready.set()
        except ConnectionClosed as closed:
            heard.closed = closed

    with listen(shop, run) as line:
        thread = threading.Thread(target=hear, args=(line,))
        thread.start()
        assert ready.wait(5.0)
        yield heard
        time.sleep(0.5)
        still_open = thread.is_alive()
        line.close()
        thread.join(5.0)
    assert still_open, heard.closed
    assert heard.seqs == list(range(heard.seqs[0], heard.seqs[0] + len(heard.seqs)))
    print(f"longest silence of the live channel {heard.longest_gap_s:.2f} s, limit {LATE_S} s")
    assert heard.longest_gap_s < LATE_S
