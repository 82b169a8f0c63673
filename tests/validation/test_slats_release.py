"""Bending energy, tip force and set of slats against closed forms of beam theory.

Source: J. M. Gere and S. P. Timoshenko, Mechanics of Materials (from memory): pure bending
(kappa = M / E I, U = M² L / 2 E I), the cantilever with a load at its end
(kappa = P x / E I, U = P² L³ / 6 E I), and the elastic-plastic bending of a rectangular
section (M = 3/2 M_y (1 - (kappa_y / kappa)² / 3)). No printed figures: the closed form
itself is evaluated, so the tolerance is that of rounding and of the integration.
"""

import math
from pathlib import Path

import numpy as np

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.clothoid import Clothoid
from rimwright.equipment.materials import material
from rimwright.instrument.design import Design, Drawing, Ends, OutlineSource, Plate, Plates
from rimwright.instrument.outline import RimPiece
from rimwright.tooling.bundle import Job, SideSize
from rimwright.tooling.spring import spring, stored_moment

SOURCE = "Gere and Timoshenko, Mechanics of Materials (from memory)"
#: A slat of spring steel, 110 mm wide and 0.25 mm thick.
STIFFNESS = 205e9 * 0.110 * 0.00025**3 / 12.0


def line_of(*pieces, room: float = 0.045) -> Job:
    design = Design(
        name="strip",
        outline=OutlineSource(source=Drawing(path=Path("strip.dxf"))),
        plates=Plates(top=Plate(), back=Plate(), depth_tail_m=0.1, depth_neck_m=0.1),
        ends=Ends(
            neck_block_width_m=0.05,
            neck_block_length_m=0.05,
            neck_block_kind="plain",
            tail_block_width_m=0.05,
            trim_tail_m=room - 0.025,
        ),
    )
    rim = RimPiece("bass", "main", Chain(pieces))
    return Job.of(rim, SideSize(thickness_m=0.002, width_m=0.11), design)


def test_constant_curvature_stores_half_the_stiffness_times_curvature_squared(held_against):
    radius, length = 0.150, 0.400
    energy, _, _ = spring(line_of(Arc((0.0, 0.0), 0.0, 1.0 / radius, length)), 0.0, STIFFNESS)
    held_against(
        "energy of a slat bent to 150 mm over 400 mm",
        source=SOURCE,
        printed=STIFFNESS * length / (2.0 * radius**2),
        ours=energy,
        tolerance=1e-12,
        why="the integrand is constant: only rounding is left",
        unit="J",
    )


def test_a_slat_inside_the_line_bends_on_its_own_shorter_tighter_line(held_against):
    radius, length, inside = 0.150, 0.400, 0.0025
    bent = line_of(Arc((0.0, 0.0), 0.0, 1.0 / radius, length))
    energy, _, _ = spring(bent, inside, STIFFNESS)
    own = radius - inside
    held_against(
        "energy of the same slat 2.5 mm inside the line",
        source=SOURCE,
        printed=STIFFNESS * (length * own / radius) / (2.0 * own**2),
        ours=energy,
        tolerance=1e-12,
        why="the integrand is constant: only rounding is left",
        unit="J",
    )


def test_a_cantilever_loaded_at_its_end(held_against):
    load, length = 0.4, 0.250
    # The load at the end bends the clamped end most: curvature P L / E I falling to nothing.
    root = load * length / STIFFNESS
    energy, _, _ = spring(line_of(Clothoid((0.0, 0.0), 0.0, root, 0.0, length)), 0.0, STIFFNESS)
    held_against(
        "energy of a slat held as a cantilever of 250 mm by 0.4 N",
        source=SOURCE,
        printed=load**2 * length**3 / (6.0 * STIFFNESS),
        ours=energy,
        tolerance=1e-9,
        why="Gauss-Legendre is exact on a parabola; 1e-9 J leaves room for rounding",
        unit="J",
    )


def test_the_tip_force_bends_a_nearly_straight_cantilever_as_its_load_would(held_against):
    load, length, room = 0.002, 0.250, 0.045
    # A strip clamped beyond `room`: the load P at the tip makes M = P (room + s) there.
    near, far = load * room / STIFFNESS, load * (room + length) / STIFFNESS
    _, force, _ = spring(line_of(Clothoid((0.0, 0.0), 0.0, near, far, length)), 0.0, STIFFNESS)
    held_against(
        "force that holds the tip of a slat bent as by 0.002 N",
        source=SOURCE,
        printed=load,
        ours=force,
        tolerance=1e-6,
        why="small slope: the arm along the tip's direction is the length within slope²/2",
        unit="N",
    )


def test_the_tip_force_round_a_bout_is_moment_over_arm(held_against):
    # Round a quarter circle the arm from the tip grows, so the first of the bend decides.
    bent = line_of(Arc((0.0, 0.0), 0.0, 1.0 / 0.090, 0.090 * math.pi / 2.0), room=0.045)
    _, force, other = spring(bent, 0.0, STIFFNESS)
    # The neck end has 20 mm of trim and 25 mm of clamp, as the tail here.
    for end, ours in (("tail", force), ("neck", other)):
        held_against(
            f"force at the {end} end of a slat round a quarter circle of 90 mm",
            source="E I κ over the arm, elementary bending",
            printed=STIFFNESS / 0.090 / 0.045,
            ours=ours,
            tolerance=1e-9 * force,
            unit="N",
            why="rounding",
        )


def test_beyond_yield_the_moment_levels_off_at_one_and_a_half(held_against):
    least = 0.020
    at_yield = STIFFNESS / least
    moment = stored_moment(np.array([1.0 / 0.010, 1e6]), STIFFNESS, least)
    for ours, printed, radius in (
        (moment[0], 1.5 * at_yield * (1.0 - 0.25 / 3.0), "half the radius at yield"),
        (moment[1], 1.5 * at_yield, "a sharp fold"),
    ):
        held_against(
            f"moment of a slat at {radius}",
            source=SOURCE,
            printed=printed,
            ours=float(ours),
            tolerance=1e-7,
            why="closed form; the fold is not infinitely sharp",
            unit="N m",
        )


def test_a_slat_that_has_set_gives_back_less(held_against):
    least, radius, length = 0.020, 0.010, 0.030
    bent = line_of(Arc((0.0, 0.0), 0.0, 1.0 / radius, length))
    energy, _, _ = spring(bent, 0.0, STIFFNESS, least)
    moment = 1.5 * (STIFFNESS / least) * (1.0 - (radius / least) ** 2 / 3.0)
    held_against(
        "energy given back by a slat bent to half its radius at yield",
        source=SOURCE,
        printed=moment**2 * length / (2.0 * STIFFNESS),
        ours=energy,
        tolerance=1e-12,
        why="unloading is elastic: M² L / 2 E I; only rounding is left",
        unit="J",
    )


def test_the_set_radius_of_a_spring_steel_slat(held_against):
    steel = material("spring steel", "blue tempered")
    held_against(
        "least radius of a 0.25 mm spring steel slat",
        source=SOURCE,
        printed=205e9 * 0.00025 / (2.0 * 1300e6) * 1e3,
        ours=(steel.least_radius_m(0.00025) or 0.0) * 1e3,
        tolerance=0.01,
        why="E t / 2 sigma with the handbook's middle figures",
        unit="mm",
    )
