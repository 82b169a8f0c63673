"""What an alarm is while a run goes on: its state, the log's lines, and the one step between."""

from __future__ import annotations

from dataclasses import dataclass, replace

from rimwright.live.alarms_table import DEFINITIONS, AlarmKey, AlarmState, Definition

#: One that returns and comes again within this must be gone twice as long the next time, so
#: that a loose plug is one alarm and not a hundred. Assumed. [s]
FLAPS_WITHIN_S, LONGEST_OFF_DELAY_S, _LEAST_OFF_DELAY_S = 600.0, 30.0, 1.0

#: Of times taken from each other. [s]
ROUNDING_S = 1e-6

NORMAL, SHELVED, OUT = AlarmState.NORMAL, AlarmState.SHELVED, AlarmState.OUT_OF_SERVICE
UNACKNOWLEDGED, ACKNOWLEDGED = AlarmState.ACTIVE_UNACKNOWLEDGED, AlarmState.ACTIVE_ACKNOWLEDGED
RETURNED = AlarmState.RETURNED_UNACKNOWLEDGED


@dataclass(frozen=True, slots=True, kw_only=True)
class Alarm:
    """One alarm as it stands."""

    key: AlarmKey
    state: AlarmState = NORMAL
    #: When it became active, and when it came into its present state, in the run's time. [s]
    since_s: float = 0.0
    state_since_s: float = 0.0
    #: What was seen, kept up while it is active.
    words: str = ""
    probe: int | None = None
    #: Why it was taken out or put aside.
    reason: str = ""
    #: When it was last called out. [s]
    sounded_s: float | None = None
    #: End of the shelf. [s]
    until_s: float | None = None
    #: How often it went and came again of late, and when it last went. [s]
    flaps: int = 0
    returned_s: float | None = None
    #: Since when its cause has been there, and gone; not kept over a restart. [s]
    true_since_s: float | None = None
    false_since_s: float | None = None

    @property
    def definition(self) -> Definition:
        """Its line in the table."""
        return DEFINITIONS[self.key]

    @property
    def active(self) -> bool:
        """Whether it stands, acknowledged or not."""
        return self.state in (UNACKNOWLEDGED, ACKNOWLEDGED)

    @property
    def sounding(self) -> bool:
        """Whether it sounds all the time now; one that is not high is called out once."""
        return self.state is UNACKNOWLEDGED and self.definition.high

    @property
    def off_delay_s(self) -> float:
        """How long its cause must be gone, longer for one that comes and goes. [s]"""
        usual = self.definition.off_delay_s
        if not self.flaps or self.definition.then == "goes":
            return usual
        longer = max(usual, _LEAST_OFF_DELAY_S) * 2.0 ** min(self.flaps, 10)
        return min(longer, max(usual, LONGEST_OFF_DELAY_S))

    def gone(self, at_s: float) -> bool:
        """Whether its cause has been gone long enough."""
        return self.false_since_s is not None and at_s - self.false_since_s >= (
            self.off_delay_s - ROUNDING_S
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Alarms:
    """All alarms of a run, highest first."""

    every: tuple[Alarm, ...] = tuple(Alarm(key=key) for key in DEFINITIONS)
    #: While it is, no high alarm can be put aside.
    heat_on: bool = False

    def of(self, key: AlarmKey) -> Alarm:
        """One of them."""
        return next(alarm for alarm in self.every if alarm.key == key)

    @property
    def shown(self) -> tuple[Alarm, ...]:
        """What every page shows: all that is not normal, what sounds before the rest."""
        return tuple(sorted((one for one in self.every if one.state is not NORMAL), key=_urgency))

    @property
    def sounding(self) -> bool:
        """Whether the alarm's sound is on."""
        return any(alarm.sounding for alarm in self.every)


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmChange:
    """An alarm went from one state into another: the log's line."""

    alarm: AlarmKey
    before: AlarmState
    after: AlarmState
    #: [s]
    at_s: float
    words: str = ""
    probe: int | None = None
    reason: str = ""
    #: Of a shelf, its end. [s]
    until_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sounded:
    """An alarm was called out."""

    alarm: AlarmKey
    #: [s]
    at_s: float


Told = AlarmChange | Sounded


def change(alarm: Alarm, after: AlarmState, at_s: float, reason: str = "") -> AlarmChange:
    """The log's line of an alarm that goes into another state."""
    return AlarmChange(
        alarm=alarm.key,
        before=alarm.state,
        after=after,
        at_s=at_s,
        words=alarm.words,
        probe=alarm.probe,
        reason=reason,
    )


def after(alarm: Alarm, told: Told) -> Alarm:
    """The alarm after a line of the log: the only place where states are set."""
    if isinstance(told, Sounded):
        return replace(alarm, sounded_s=told.at_s)
    now = replace(
        alarm,
        state=told.after,
        state_since_s=told.at_s,
        words="" if told.after is NORMAL else told.words,
        probe=None if told.after is NORMAL else told.probe,
        reason=told.reason if told.after in (SHELVED, OUT) else "",
        until_s=told.until_s,
    )
    if told.after is UNACKNOWLEDGED:
        # Called out at once, whenever it was before.
        now = replace(now, sounded_s=None)
        if told.before is not ACKNOWLEDGED:
            went_s = alarm.returned_s
            of_late = went_s is not None and told.at_s - went_s < FLAPS_WITHIN_S
            now = replace(now, since_s=told.at_s, flaps=alarm.flaps + 1 if of_late else 0)
    elif told.before in (UNACKNOWLEDGED, ACKNOWLEDGED) and told.after in (NORMAL, RETURNED):
        now = replace(now, returned_s=told.at_s)
    return now


def _urgency(alarm: Alarm) -> tuple[int, int]:
    order = (UNACKNOWLEDGED, ACKNOWLEDGED, RETURNED, SHELVED, OUT)
    return order.index(alarm.state), tuple(DEFINITIONS).index(alarm.key)
