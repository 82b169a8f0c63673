"""However the sheet is laid on the table, the body on it is the same."""

import math
from pathlib import Path

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from counts import times
from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.outline_from import outline_from

TEXT = (Path(__file__).parents[1] / "cases" / "plover.svg").read_text()
_PATHS = [line for line in TEXT.splitlines() if line.startswith("<path")]
#: Without names and without the centreline: the body alone decides.
BODY = "".join(f'<path d="{line.split(" d=")[1].split(chr(34))[1]}"/>' for line in _PATHS[:3])


@settings(
    max_examples=times(40),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    turn=st.floats(-180.0, 180.0),
    x=st.floats(-1e4, 1e4),
    y=st.floats(-1e4, 1e4),
    scale=st.floats(0.5, 3.0),
    mirror=st.booleans(),
)
def test_turned_moved_scaled_and_mirrored_sheets(tmp_path, turn, x, y, scale, mirror):
    flip = "scale(1 -1)" if mirror else ""
    path = tmp_path / "posed.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="1000mm" viewBox="0 0 1000 1000">'
        f'<g transform="translate({x} {y}) rotate({turn}) scale({scale}) {flip}">{BODY}</g></svg>'
    )
    outline = outline_from(Drawing(path=path), seen_from=None, player="right")
    assert math.isclose(outline.length_m, 0.350 * scale, abs_tol=2e-6 * scale)
    wanted = {("bass", "main"): 0.50807207, ("treble", "main"): 0.41182658,
              ("treble", "return"): 0.08389362}  # fmt: skip
    assert {(p.hand, p.name) for p in outline.pieces} == set(wanted)
    for piece in outline.pieces:
        expected = wanted[piece.hand, piece.name] * scale
        assert math.isclose(piece.length, expected, abs_tol=3e-6 * scale)
        middle = piece.at(np.array([piece.length / 2])).position[0, 1]
        assert (middle > 0) == (piece.hand == "treble")
    # Seen from the back as given; a mirrored sheet shows the face.
    assert f"seen from the {'face' if mirror else 'back'}" in outline.assumptions[0]
