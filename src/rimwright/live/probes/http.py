"""Readings that a microcontroller posts."""

from __future__ import annotations

import hmac

from rimwright.equipment.probe_keys import token_sha256
from rimwright.equipment.probe_kinds import HttpSettings
from rimwright.errors import AccessError, ProbeError
from rimwright.live.clock import Clock
from rimwright.live.probes.payload import hear_payload
from rimwright.live.probes.source import Deliver, Teller
from rimwright.live.probes.words import Heard


class HttpSource:
    """One probe that sends its readings to the server by itself.

    There is no link to lose: a microcontroller that falls silent is found out by its silence.
    """

    kind = "http"

    def __init__(self, settings: HttpSettings, probe: int) -> None:
        self.settings = settings
        self._teller = Teller(probe)

    def start(self, deliver: Deliver, clock: Clock) -> None:
        self._teller.start(deliver, clock)

    def stop(self) -> None:
        self._teller.stop()

    def heat(self, share: float) -> None:
        """A real probe follows the real blanket."""

    def push(self, token: str, body: bytes) -> Heard:
        """Take a reading that was posted.

        Parameters
        ----------
        token : str
            As it was sent along; only its hash is known here.
        body : bytes
            A bare number or word, or JSON.

        Returns
        -------
        Heard
            What was understood, so that the sender can be told.

        Raises
        ------
        AccessError
            If the token is another's.
        ProbeError
            If no run listens now.
        """
        if not hmac.compare_digest(token_sha256(token), self.settings.token_sha256):
            raise AccessError(
                "a token that is not this probe's", "its own", "correct it in the sender"
            )
        if not self._teller.open:
            raise ProbeError("a reading without a run", "a run that listens", "begin the run first")
        heard = hear_payload(body, self.settings)
        self._teller.tell(heard)
        return heard
