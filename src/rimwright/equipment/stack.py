"""What lies on the form: slats, wrap, wood and blanket in order, and the heat's control."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

LayerKind = Literal["slat", "wrap", "side", "blanket", "strip", "cover"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """One layer of the stack; its thickness counts once, whatever its width.

    The side itself is a layer of kind "side" whose thickness comes from the design.
    """

    kind: LayerKind
    #: Name in the materials list: "spring steel", "stainless", "aluminium", "paper", "foil".
    material: str
    #: [m]; zero for the side.
    thickness_m: float
    #: Temper of a metal slat: "annealed", "half hard", "blue tempered".
    temper: str | None = None
    #: [m]; None: as wide as the side.
    width_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Blanket:
    """A flexible heating blanket."""

    length_m: float = 0.9144
    width_m: float = 0.1524
    thickness_m: float = 0.0016
    #: [W/m²]; 5 W/in² is 7750.
    power_density_w_m2: float = 7750.0
    #: Smallest radius it may be bent to. [m]
    least_radius_m: float = 0.010
    control: Literal["dial", "thermostat", "controller"] = "dial"


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """The shop's bender: its stack from the form outwards, blanket, probe and room."""

    #: From the form outwards; exactly one layer is the side.
    layers: tuple[Layer, ...] = (
        Layer(kind="slat", material="spring steel", thickness_m=0.00025, temper="blue tempered"),
        Layer(kind="wrap", material="paper", thickness_m=0.0001),
        Layer(kind="side", material="wood", thickness_m=0.0),
        Layer(kind="wrap", material="paper", thickness_m=0.0001),
        Layer(kind="slat", material="spring steel", thickness_m=0.00025, temper="blue tempered"),
        Layer(kind="blanket", material="silicone", thickness_m=0.0016),
        Layer(kind="slat", material="spring steel", thickness_m=0.00025, temper="blue tempered"),
    )
    blanket: Blanket = Blanket()
    #: Between which layers the probe sits, in words and as the index of the layer below it.
    probe_above_layer: int = 4
    room_c: float = 21.0
    humidity: float = 0.45
    #: True until the maker has said what the stack is: drawings then say ASSUMED.
    assumed: bool = True

    @property
    def side_index(self) -> int:
        """Where in `layers` the side lies."""
        return next(i for i, layer in enumerate(self.layers) if layer.kind == "side")

    @property
    def below_side(self) -> tuple[Layer, ...]:
        """Layers between form and side, from the form outwards."""
        return self.layers[: self.side_index]

    @property
    def above_side(self) -> tuple[Layer, ...]:
        """Layers outside the side, from the side outwards."""
        return self.layers[self.side_index + 1 :]

    @property
    def between_form_and_side_m(self) -> float:
        """Total thickness between form and side. [m]"""
        return sum(layer.thickness_m for layer in self.below_side)

    @property
    def outside_side_m(self) -> float:
        """Total thickness between side and ram. [m]"""
        return sum(layer.thickness_m for layer in self.above_side)
