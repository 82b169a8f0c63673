"""What each address of the pages takes, and from whom: one table, read before any routing."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Literal

#: Our pages run one module of ours and show nothing from elsewhere.
PAGE_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
#: What is no page runs and shows nothing at all.
DATA_POLICY = (
    "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox"
)

#: Smallest that does the job. A plan with its curves takes some hundred kilobytes.
JSON_BYTES, PLAN_BYTES, PHOTOGRAPH_BYTES, READING_BYTES = 64 * 1024, 2 << 20, 12 << 20, 8 * 1024

#: "anyone" reached a name of ours; "view" has a session; "act" is paired, or on this computer;
#: "here" is on this computer; "probe" shows a token that the bench itself checks.
Who = Literal["anyone", "view", "act", "here", "probe"]


@dataclass(frozen=True, kw_only=True)
class Rule:
    """What one address takes."""

    #: Of the whole path; "*" stands for one part of it, "**" for the rest.
    path: str
    method: Literal["GET", "POST", "SOCKET"] = "GET"
    who: Who = "view"
    #: A page: gives a session that may look to a device that has none.
    page: bool = False
    #: Most that a body may hold, and how long it may take to come. [bytes], [s]
    body_bytes: int = JSON_BYTES
    body_s: float = 10.0
    #: Content types of a body.
    types: tuple[str, ...] = ("application/json",)
    #: Bodies that are taken in at the same time; None where it does not matter.
    at_once: int | None = None
    #: Content security policy, where the answer brings none of its own.
    policy: str = DATA_POLICY
    _shape: re.Pattern[str] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        parts = [
            {"*": "[^/]+", "**": ".*"}.get(part, re.escape(part)) for part in self.path.split("/")
        ]
        object.__setattr__(self, "_shape", re.compile("/".join(parts), re.DOTALL))

    def covers(self, method: str, path: str) -> bool:
        """Whether a request is this rule's."""
        return method == self.method and self._shape.fullmatch(path) is not None


#: The first that covers a request holds. What is mounted later puts its own in front.
RULES: tuple[Rule, ...] = (
    Rule(path="/", who="anyone", page=True, policy=PAGE_POLICY),
    Rule(path="/live", who="anyone", page=True, policy=PAGE_POLICY),
    Rule(path="/records", who="anyone", page=True, policy=PAGE_POLICY),
    Rule(path="/records/*", who="anyone", page=True, policy=PAGE_POLICY),
    Rule(path="/static/**", who="anyone"),
    Rule(path="/favicon.ico", who="anyone"),
    Rule(path="/api/devices", who="act"),
    Rule(path="/api/pair", method="POST", who="view"),
    Rule(path="/api/pairing-code", method="POST", who="here"),
    Rule(
        path="/api/probes/*/readings", method="POST", who="probe", body_bytes=READING_BYTES,
        types=("application/json", "text/plain"),
    ),
    Rule(path="/api/runs", method="POST", who="act", body_bytes=PLAN_BYTES),
    Rule(
        path="/api/records/*/photographs", method="POST", who="act", body_bytes=PHOTOGRAPH_BYTES,
        body_s=60.0, types=("image/jpeg", "image/png"), at_once=2,
    ),
    Rule(path="/**", method="POST", who="act"),
    Rule(path="/**", method="SOCKET", who="view"),
    Rule(path="/**"),
)  # fmt: skip


def rule_for(rules: tuple[Rule, ...], method: str, path: str) -> Rule | None:
    """The rule that holds for a request; None where its method is not taken at all.

    Examples
    --------
    >>> rule_for(RULES, "POST", "/api/runs/3/commands").who
    'act'
    >>> rule_for(RULES, "DELETE", "/api/runs/3") is None
    True
    """
    return next((rule for rule in rules if rule.covers(method, path)), None)
