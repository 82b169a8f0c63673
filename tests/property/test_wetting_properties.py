"""Whatever the wood and the wetting: water is kept, and stays within bounds."""

from hypothesis import given, settings
from hypothesis import strategies as st

from counts import times
from rimwright.bending.wetting import wet_side
from rimwright.instrument.design import Wetting
from rimwright.wood.relations import equilibrium_moisture
from rimwright.wood.transport import greatest_moisture


@settings(deadline=None, max_examples=times(60))
@given(
    method=st.sampled_from(["mist", "dip", "soak"]),
    duration=st.floats(1.0, 1e5),
    stand=st.floats(0.0, 1e5),
    thickness=st.floats(0.3e-3, 6e-3),
    gravity=st.floats(0.35, 1.2),
    sorptivity=st.floats(0.0, 0.02),
    humidity=st.floats(0.05, 0.9),
    fibres=st.integers(1, 21),
)
def test_water_is_kept(method, duration, stand, thickness, gravity, sorptivity, humidity, fibres):
    wet = wet_side(
        Wetting(method=method, duration_s=duration, stand_s=stand),
        thickness_m=thickness,
        specific_gravity=gravity,
        room_c=20.0,
        humidity=humidity,
        sorptivity_kg_m2_s05=sorptivity,
        fibres=fibres,
    )
    start = float(equilibrium_moisture(20.0, humidity))
    full = max(float(greatest_moisture(gravity)), start)
    assert wet.moisture.shape == (fibres,)
    assert wet.moisture.min() >= start - 1e-9
    assert wet.moisture.max() <= full + 1e-9
    gained = 1000.0 * gravity * thickness * (wet.mean - start)
    assert abs(gained - wet.taken_up_kg_m2) < 1e-9
    assert wet.film_kg_m2 >= 0.0
