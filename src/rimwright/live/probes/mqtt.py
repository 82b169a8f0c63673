"""Readings that a broker passes on."""

from __future__ import annotations

import os
import time
from typing import TYPE_CHECKING, Any

from rimwright.equipment.probe_kinds import MQTT_PORT, MqttSettings, host_and_port
from rimwright.errors import ProbeError
from rimwright.live.clock import Clock
from rimwright.live.probes.payload import hear_payload
from rimwright.live.probes.source import Deliver, Keeper, LinkLostError, Teller, lost
from rimwright.live.probes.words import Heard

if TYPE_CHECKING:
    from paho.mqtt.client import Client, MQTTMessage

#: A broker that is there answers sooner. [s]
CONNECT_S = 1.0
WELCOME_S = 2.0
#: A broker that says nothing for this long is asked; one that answers nothing is gone. Whole
#: seconds. [s]
KEEPALIVE_S = 2
LOOK_S = 0.1
#: Messages that wait at once, after a pause of ours; only the newest counts.
MOST_AT_ONCE = 1_000


class MqttSource:
    """One topic of a broker.

    Nothing old is taken: no session is kept for us while we are away, and what the broker
    retained from before is passed over.
    """

    kind = "mqtt"

    def __init__(self, settings: MqttSettings, probe: int) -> None:
        self.settings = settings
        self._teller = Teller(probe)
        self._keeper: Keeper | None = None

    def start(self, deliver: Deliver, clock: Clock) -> None:
        user, password = (_secret(name, key) for name, key in (
            (self.settings.user_env, "user_env"), (self.settings.password_env, "password_env"),
        ))  # fmt: skip
        self._teller.start(deliver, clock)
        self._keeper = Keeper(
            f"probe {self.settings.topic}",
            lambda keeper: self._attend(keeper, user, password),
            lambda words: self._tell(lost(words)),
        )
        self._keeper.start()

    def stop(self) -> None:
        self._teller.stop()
        if self._keeper is not None:
            self._keeper.stop()

    def heat(self, share: float) -> None:
        """A real probe follows the real blanket."""

    def _tell(self, heard: Heard) -> None:
        self._teller.tell(heard)

    def _attend(self, keeper: Keeper, user: str | None, password: str | None) -> None:
        from paho.mqtt.client import Client
        from paho.mqtt.enums import CallbackAPIVersion, MQTTErrorCode

        client = Client(CallbackAPIVersion.VERSION2)
        talk = _Talk(self.settings.topic)
        client.on_connect, client.on_subscribe = talk.welcomed, talk.subscribed
        client.on_message = talk.came
        client.connect_timeout = CONNECT_S
        if user is not None:
            client.username_pw_set(user, password)
        host, port = host_and_port(self.settings.broker, MQTT_PORT, "broker")
        try:
            try:
                client.connect(host, port, keepalive=KEEPALIVE_S)
            except (OSError, ValueError) as error:
                raise LinkLostError(str(error)) from error
            begun = time.monotonic()
            while not keeper.stopping.is_set():
                state = client.loop(LOOK_S)
                state = _drained(client, talk, state)
                if talk.refused:
                    raise LinkLostError(talk.refused)
                if talk.payload is not None:
                    keeper.works()
                    self._tell(hear_payload(talk.payload, self.settings))
                    talk.payload = None
                self._teller.catch_up()
                if state != MQTTErrorCode.MQTT_ERR_SUCCESS:
                    raise LinkLostError(f"broker: {state.name}")
                if not talk.listens and time.monotonic() - begun > WELCOME_S:
                    raise LinkLostError("the broker does not answer")
        finally:
            client.on_connect = client.on_subscribe = client.on_message = None
            client.disconnect()


class _Talk:
    """What the broker says on one connection."""

    def __init__(self, topic: str) -> None:
        self._topic = topic
        self.listens = False
        self.refused = ""
        self.payload: bytes | None = None
        self.count = 0

    def welcomed(self, client: Client, _data: Any, _flags: Any, code: Any, _more: Any) -> None:
        if code.is_failure:
            self.refused = f"the broker refuses: {code}"
        else:
            client.subscribe(self._topic, qos=0)

    def subscribed(self, _client: Client, _data: Any, _mid: int, codes: Any, _more: Any) -> None:
        self.listens = True
        if codes and codes[0].is_failure:
            self.refused = f"the broker refuses the topic: {codes[0]}"

    def came(self, _client: Client, _data: Any, message: MQTTMessage) -> None:
        if not message.retain:
            self.payload = bytes(message.payload)
            self.count += 1


def _drained(client: Client, talk: _Talk, state: Any) -> Any:
    """Take all that waits, so that the newest counts."""
    seen = 0
    while not state and talk.count != seen and seen < MOST_AT_ONCE:
        seen = talk.count
        state = client.loop(0.0)
    talk.count = 0
    return state


def _secret(name: str, key: str) -> str | None:
    """What an environment variable holds."""
    if not name:
        return None
    try:
        return os.environ[name]
    except KeyError:
        raise ProbeError(
            f"no environment variable {name}", "it to hold the broker's user or password",
            f"set {name} before you begin", where=key,
        ) from None  # fmt: skip
