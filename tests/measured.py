"""The Wren by its landmarks, as several tests build on it."""

from rimwright.instrument.design import Cutaway, Landmarks

WREN = Landmarks(
    body_length_m=0.470,
    lower_width_m=0.356,
    lower_station_m=0.118,
    waist_width_m=0.222,
    waist_station_m=0.268,
    upper_width_m=0.268,
    upper_station_m=0.372,
)
ROUNDED = Cutaway(
    kind="rounded",
    depth_m=0.040,
    horn_radius_m=0.022,
    scoop_radius_m=0.034,
    neck_half_width_m=0.028,
)
