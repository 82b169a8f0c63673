"""Heats of made-up shops, followed by the forecast as a run is: truth known, readings noisy."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from rimwright.bending.heat_inputs import W_M2_PER_W_IN2
from rimwright.bending.heat_parameters import DEFAULT_HEAT, HeatParameters
from rimwright.bending.schools import SCHOOLS
from rimwright.live.forecast import Forecast, Forecaster
from rimwright.live.heat_of_run import heat_inputs, predicted
from rimwright.live.probes.model_heat import ModelHeat
from rimwright.live.run_plan import Predicted, RunPlan
from running import short_plan

#: How each school wets the side.
WETTINGS = {"misted": "mist", "nearly_dry": "dry", "hot": "dip"}


def heated_plan(school: str = "misted", watts_in2: float = 5.0, **changes: Any) -> RunPlan:
    """A run of the Wren's side in one school of heat."""
    targets = SCHOOLS[school]
    layers = [
        ("slat", "spring steel", 0.00025), ("wrap", "paper", 0.0001), ("side", "wood", 0.0),
        ("wrap", "paper", 0.0001), ("slat", "spring steel", 0.00025),
        ("blanket", "silicone", 0.0016), ("slat", "spring steel", 0.00025),
    ]  # fmt: skip
    heat = {
        "equipment": {
            "layers": [
                {"kind": kind, "material": material, "thickness_m": thickness_m}
                for kind, material, thickness_m in layers
            ],
            "blanket": {"power_density_w_m2": watts_in2 * W_M2_PER_W_IN2},
            "probe_above_layer": 4,
            "room_c": 21.0,
        },
        "wetting": {"method": WETTINGS[school], "duration_s": 0.0, "stand_s": 600.0},
        "thickness_m": 0.0021,
        "gravity": 0.6,
        "kind": "tropical",
        "early_alarm_c": targets.early_alarm_c,
        "target_c": targets.target_c,
        "rest_s": 86_400.0,
    }
    given = {"early_alarm_c": targets.early_alarm_c, "target_c": targets.target_c, "heat": heat}
    plan = short_plan(**{**given, **changes})
    return replace(plan, predicted=_predicted(repr(sorted(plan.heat.items())), plan))


_KEPT: dict[str, Predicted] = {}


def _predicted(key: str, plan: RunPlan) -> Predicted:
    """Worked out once for each heat: plans with their dicts cannot be looked up."""
    if key not in _KEPT:
        _KEPT[key] = predicted(heat_inputs(plan))
    return _KEPT[key]


@dataclass
class Shop:
    """One heat of one made-up shop, at full power unless told."""

    plan: RunPlan
    seed: int
    known: HeatParameters = DEFAULT_HEAT
    truth: dict[str, float] = field(default_factory=dict)
    every_s: float = 0.5
    noise_k: float = 0.3
    #: Of the stack when the heat comes on; None: as the room.
    start_c: float | None = None
    #: What hands and water do to the reading of a moment, by time and probe.
    meddled: Callable[[float, float], float] = lambda _at_s, celsius: celsius

    def __post_init__(self) -> None:
        inputs = replace(heat_inputs(self.plan), start_c=self.start_c)
        self.model = ModelHeat(inputs, self.seed, noise_k=self.noise_k, truth=self.truth)
        self.model.power(0.0, 1.0)
        self.forecaster = Forecaster(self.plan, self.known)
        self.forecaster.power(0.0, 1.0)
        self.heard = 0
        for second in range(-10, 0):
            self.forecaster.add(float(second), self.model.heard(float(second)).celsius)

    def to_s(self, at_s: float) -> None:
        """Hear the probe until then."""
        while self.heard * self.every_s <= at_s:
            now_s = self.heard * self.every_s
            self.forecaster.add(now_s, self.meddled(now_s, self.model.heard(now_s).celsius))
            self.heard += 1

    def forecast(self, at_s: float) -> Forecast:
        """Hear until then, and look ahead."""
        self.to_s(at_s)
        return self.forecaster.forecast(at_s)

    def looks(self, until_s: float, *, every_s: float = 4.0) -> Iterator[Forecast]:
        """A forecast every few seconds, as a run asks for them."""
        at_s = self.heard * self.every_s
        while (at_s := at_s + every_s) <= until_s:
            yield self.forecast(at_s)

    def power(self, at_s: float, share: float) -> None:
        """The dial is turned, or the plug pulled."""
        self.model.power(at_s, share)
        self.forecaster.power(at_s, share)

    def reaches_s(self, celsius: float, within_s: float = 1500.0) -> float | None:
        """When the true probe is there; None: not in that time."""
        self.model.true_c(within_s)
        low, high = 0.0, within_s
        if self.model.true_c(high) < celsius:
            return None
        while high - low > 0.05:
            middle = 0.5 * (low + high)
            low, high = (low, middle) if self.model.true_c(middle) >= celsius else (middle, high)
        return high
