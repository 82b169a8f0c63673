"""The virtual bend's kernel beside closed forms: flow, relaxation, laminates, the elastica."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.special import ellipeinc, ellipkinc

from rimwright.bending.history import FibreHistory
from rimwright.bending.kernels.section import gauss_fibres, plain_fibres
from rimwright.bending.law import DEFAULT_LAW, LAW_NAMES, NEVER
from rimwright.bending.release import glued_curvature
from rimwright.bending.springback_ratio import springback_ratio
from rimwright.bending.virtual_many import Conditions, Timetable, bend_many, conditions
from rimwright.bending.virtual_span import elastica

SHEET = "elastic-plastic sheet, K = 4X³ - 3X + 1"
E, T = 210e9, 0.002


def law_with(**values):
    law = DEFAULT_LAW.vector()
    for name, value in values.items():
        law[LAW_NAMES.index(name)] = value
    return law


def steady(time_s, fibres, kelvin=21.0, moisture=0.1, rule=gauss_fibres):
    place, weight = rule(fibres)
    shape = (1, time_s.size, fibres)
    return Conditions(place, weight, np.full(shape, kelvin), np.full(shape, moisture))


def sheet(x, fibres, rule=gauss_fibres, steps=60):
    """Released and recorded bends of a sheet that flows alike both ways, without hardening.

    x = σ R / (E t), so at a curvature of 1/R: σ = x E t / R.
    """
    x = np.atleast_1d(x)
    kept, moments = [], []
    time_s = np.append(np.linspace(0.0, 1.0, steps + 1), 1.0)
    share = np.minimum(time_s, 1.0)[:, None]
    table = Timetable(time_s, share, steps + 1)
    for one in x:
        curvature = 20.0
        flow = one * E * T * curvature
        # A lasting share of one: nothing relaxes. The slope makes the flow the same everywhere.
        law = law_with(stiffness_pa=E, lasting_share=1.0, pulled_lasting_share=1.0,
                       firm_flow_pa=flow, flow_slope_per_k=0.0, hardening_pa=0.0,
                       tension_flow_pa=flow)  # fmt: skip
        done = bend_many(
            law,
            thickness_m=np.array([T]),
            inside_curvature=np.array([curvature / (1.0 - 0.5 * T * curvature)]),
            timetable=table,
            conditions=steady(time_s, fibres, rule=rule),
            record=True,
        )
        kept.append(done.released[0, 0] / curvature)
        moments.append(done.record[0, steps, 2, 0])
    return np.array(kept), np.array(moments)


@pytest.mark.parametrize("x", [0.05, 0.1, 0.2, 0.3, 0.4])
def test_springback_of_a_sheet(x, held_against):
    kept, moment = sheet(x, 201)
    held_against(
        f"share of curvature kept, X = {x}, 201 fibres",
        source=SHEET,
        printed=float(springback_ratio(x)),
        ours=float(kept[0]),
        tolerance=1e-3 * (1.0 - float(springback_ratio(x))),
        why="0.1 % of the spring-back at a converged number of fibres",
    )
    # Elastic core of half-height X t: M = σ t²/4 (1 − X²·4/3), X ≤ 1/2.
    flow = x * E * T * 20.0
    held_against(
        f"moment at X = {x}",
        source="rectangular section, elastic core between flowing faces",
        printed=flow * T**2 / 4.0 * (1.0 - 4.0 * x**2 / 3.0),
        ours=float(moment[0]),
        tolerance=1e-3 * float(moment[0]),
        why="the same",
        unit="N",
    )


def errors(fibres, rule, xs):
    lost = 1.0 - springback_ratio(xs)
    return (1.0 - sheet(xs, fibres, rule)[0]) / lost - 1.0


def test_second_order_in_fibres(held_against):
    xs = np.linspace(0.04, 0.42, 14)
    counts = np.array([11, 21, 41, 81, 161])
    for rule, name in ((gauss_fibres, "Gauss-Legendre"), (plain_fibres, "plain slices")):
        size = [np.sqrt(np.mean(errors(count, rule, xs) ** 2)) for count in counts]
        order = -np.polyfit(np.log(counts), np.log(size), 1)[0]
        held_against(
            f"order of convergence in fibres, {name}",
            source="a kinked stress over a smooth rule: second order",
            printed=2.0,
            ours=float(order),
            tolerance=0.25,
            why="fitted over 14 spring-backs and five counts; the kink falls where it will",
        )


def test_error_of_the_defaults(held_against):
    xs = np.linspace(0.04, 0.42, 14)
    for count, most in ((21, 5e-3), (11, 2e-2)):
        worst = float(np.abs(errors(count, gauss_fibres, xs)).max())
        held_against(
            f"greatest error of the spring-back, {count} Gauss-Legendre fibres",
            source=SHEET,
            printed=0.0,
            ours=worst,
            tolerance=most,
            why="stated in docs/virtual-bend.md",
        )


def test_pure_relaxation(held_against):
    """Bent in an instant, then held: the moment is the Prony series of the law."""
    law = law_with(
        firm_flow_pa=NEVER,
        softening_offset_k=0.0,
        pulled_lasting_share=DEFAULT_LAW.lasting_share.middle,
    )
    value = dict(zip(LAW_NAMES, law, strict=True))
    moisture, warm = 0.15, 100.0
    softening = 72.0 + 121.0 * np.exp(-moisture / 0.15)
    tau = value["relaxation_s"] * 10.0 ** (-(warm - softening) / value["kelvin_per_decade"])
    # No time passes while it is bent.
    time_s = np.concatenate([[0.0, 0.0], np.geomspace(0.1, 3e4, 40)])
    progress = np.minimum(np.arange(time_s.size), 1.0)[:, None]
    done = bend_many(
        law,
        thickness_m=np.array([T]),
        inside_curvature=np.array([4.0]),
        timetable=Timetable(time_s, progress, time_s.size),
        conditions=steady(time_s, 11, warm, moisture),
        record=True,
    )
    stiff = value["stiffness_pa"]
    bend = 4.0 / (1.0 + 0.5 * T * 4.0)
    lasting = value["lasting_share"]
    spread = 10.0 ** (value["spread_decades"] * np.array([-1.0, 0.0, 1.0]))
    held = time_s[1:, None]
    share = lasting + (1.0 - lasting) / 3.0 * np.exp(-held / (tau * spread)).sum(axis=1)
    closed = stiff * T**3 / 12.0 * bend * share
    ours = done.record[0, 1:, 2, 0]
    worst = int(np.argmax(np.abs(ours / closed - 1.0)))
    held_against(
        "moment after relaxing, at its worst moment",
        source="Prony series, closed form",
        printed=float(closed[worst]),
        ours=float(ours[worst]),
        tolerance=1e-6 * float(closed[worst]),
        why="exponentials are exact at steady temperature",
        unit="N",
    )


def test_relaxation_while_bending(held_against):
    """A steady rate of bending: each branch's stress is G τ rate (1 − exp(−t/τ))."""
    law = law_with(
        firm_flow_pa=NEVER,
        softening_offset_k=0.0,
        pulled_lasting_share=DEFAULT_LAW.lasting_share.middle,
    )
    value = dict(zip(LAW_NAMES, law, strict=True))
    warm = 72.0 + 121.0 * np.exp(-1.0)
    time_s = np.linspace(0.0, 60.0, 31)
    done = bend_many(
        law,
        thickness_m=np.array([T]),
        inside_curvature=np.array([4.0]),
        timetable=Timetable(time_s, time_s[:, None] / 60.0, time_s.size),
        conditions=steady(time_s, 11, warm, 0.15),
        record=True,
    )
    tau = value["relaxation_s"] * 10.0 ** (value["spread_decades"] * np.array([-1.0, 0.0, 1.0]))
    lasting = value["lasting_share"]
    rate = 1.0 / 60.0
    held = (1.0 - lasting) / 3.0 * np.sum(tau * rate * (1.0 - np.exp(-60.0 / tau)))
    closed = value["stiffness_pa"] * T**3 / 12.0 * 4.0 / (1.0 + 0.5 * T * 4.0) * (lasting + held)
    held_against(
        "moment at the end of a steady bend",
        source="Maxwell branches at a steady rate, closed form",
        printed=float(closed),
        ours=float(done.record[0, -1, 2, 0]),
        tolerance=1e-6 * float(closed),
        why="the step is exact for a steady rate",
        unit="N",
    )


def test_stiffer_in_tension(held_against):
    """Wholly relaxed without flow, what lasts is a section of two moduli, in closed form."""
    squeezed, stretched = 0.10, 0.40
    law = law_with(firm_flow_pa=NEVER, relaxation_s=1e-9, lasting_share=squeezed,
                   pulled_lasting_share=stretched)  # fmt: skip
    time_s = np.linspace(0.0, 60.0, 121)
    bend = 20.0
    done = bend_many(
        law,
        thickness_m=np.array([T]),
        inside_curvature=np.array([bend / (1.0 - 0.5 * T * bend)]),
        timetable=Timetable(time_s, time_s[:, None] / 60.0, time_s.size),
        conditions=steady(time_s, 201, 110.0, 0.20),
        record=True,
    )
    strain, _, moment = done.record[0, -1, :, 0]
    root_t, root_c = np.sqrt(stretched), np.sqrt(squeezed)
    reduced = 4.0 * stretched * squeezed / (root_t + root_c) ** 2
    source = "reduced modulus of Engesser and von Karman (memory)"
    for what, closed, ours, unit in (
        ("stretched face over t κ, two moduli", root_c / (root_t + root_c),
         0.5 + strain / (T * bend), ""),
        ("moment, two moduli", law[0] * reduced * T**3 / 12.0 * bend, moment, "N"),
    ):  # fmt: skip
        held_against(what, source=source, printed=float(closed), ours=float(ours),
                     tolerance=1e-3 * float(closed), unit=unit,
                     why="201 fibres; the neutral axis lies between two")  # fmt: skip


@pytest.mark.parametrize("count", [2, 3, 4, 8])
def test_laminate_law(count, held_against):
    """Layers bent loose by the kernel, glued, let go as one: 1 − 1/n² is kept."""
    time_s = np.linspace(0.0, 1.0, 11)
    law = law_with(lasting_share=1.0, pulled_lasting_share=1.0, firm_flow_pa=NEVER)
    each = 0.004 / count
    bend = 2.0
    done = bend_many(
        law,
        thickness_m=np.full(count, each),
        inside_curvature=np.full(count, bend / (1.0 - 0.5 * each * bend)),
        timetable=Timetable(time_s, np.repeat(time_s[:, None], count, axis=1), time_s.size),
        conditions=steady(time_s, 11),
        record=True,
    )
    kept = glued_curvature(
        bend, done.record[0, -1, 2], stiffness_pa=DEFAULT_LAW.stiffness_pa.middle, thickness_m=0.004
    )
    held_against(
        f"share of curvature kept by {count} equal glued layers",
        source="laminate law 1 - 1/n² (beam theory; makers' camber rule y = x/n²)",
        printed=1.0 - 1.0 / count**2,
        ours=float(kept) / bend,
        tolerance=1e-9,
        why="the same beam theory",
    )


@pytest.mark.parametrize("slope", [0.05, 0.3, 0.8, 1.2])
def test_elastica_between_supports(slope, held_against):
    """Elliptic integrals of the rectangular elastica, k² = 1/2.

    With ψ from 0 to the slope and sin ψ = cos² φ ... in the form ψ = π/2 − 2 φ' the lengths are
    incomplete integrals: ∫ dψ/√(2 sin ψ) = F(φ₀|½)-terms, ∫ sin ψ dψ/√(2 sin ψ) = 2E − F.
    """

    def integrals(angle):
        # ψ = π/2 − θ, cos θ = 1 − 2 k² sin²φ with k² = 1/2: cos θ = cos² φ.
        def upto(theta):
            phi = np.arcsin(np.sqrt(1.0 - np.cos(theta)))
            first, second = ellipkinc(phi, 0.5), ellipeinc(phi, 0.5)
            # ∫ dθ/√(2 cos θ) = F, and ∫ cos θ dθ/√(2 cos θ) = 2 E − F, from 0 to θ.
            return first, 2.0 * second - first

        whole, part = upto(np.pi / 2), upto(np.pi / 2 - angle)
        return whole[0] - part[0], whole[1] - part[1]

    _, rise = integrals(slope)
    along = np.sqrt(2.0 * np.sin(slope))  # ∫ cos ψ dψ/√(2 sin ψ)
    # Turn from the strip's own axis at the support to the line of the supports.
    half = along * np.cos(slope) + rise * np.sin(slope)
    deep = along * np.sin(slope) - rise * np.cos(slope)
    sag, bend, force = (float(one[0]) for one in elastica(np.array([slope])))
    rows = [
        ("sag over span", deep / (2.0 * half), sag),
        ("nose curvature times span", np.sqrt(2.0 * np.sin(slope)) * 2.0 * half, bend),
        ("support's force times span² over EI", 4.0 * half**2, force),
    ]
    for name, printed, ours in rows:
        held_against(
            f"strip between supports, end slope {slope}: {name}",
            source="rectangular elastica, incomplete elliptic integrals (Frisch-Fay 1962, memory)",
            printed=float(printed),
            ours=ours,
            tolerance=1e-9 * max(abs(printed), 1.0),
            why="Gauss-Legendre without a root at the end",
        )


def test_elastica_by_its_differential_equation():
    """Integrated as an equation of motion along the strip, without the energy integral."""
    slope = 0.7
    sag, bend, force = (float(one[0]) for one in elastica(np.array([slope])))
    # From the support in units of the span: EI κ' = R cos ψ, at heading slope − ψ.
    pull = force

    def along(_, y):
        psi, curvature = y[0], y[1]
        return [curvature, pull * np.cos(psi), np.cos(slope - psi), np.sin(slope - psi)]

    def at_nose(_, y):
        return y[0] - slope

    at_nose.terminal = True
    run = solve_ivp(along, (0.0, 2.0), [0.0, 0.0, 0.0, 0.0], events=at_nose, rtol=1e-11, atol=1e-12)
    assert run.y[2, -1] == pytest.approx(0.5, abs=1e-8)
    assert run.y[3, -1] == pytest.approx(sag, abs=1e-8)
    assert run.y[1, -1] == pytest.approx(bend, abs=1e-7)


def test_histories_are_read_linearly():
    """Between slices and times linear, so a profile that is linear there is read exactly."""
    slices = np.linspace(0.0, 1.0, 5)
    history = FibreHistory(
        np.array([0.0, 10.0]), np.array([20.0 + 0 * slices, 100.0 + slices]), np.full((2, 5), 0.1)
    )
    read = conditions([history], np.array([0.0, 5.0, 10.0]), 11)
    inner = np.abs(read.place) < 0.39
    expected = 100.0 + (read.place[inner] + 0.4) / 0.8
    assert np.allclose(read.temperature_c[0, 2, inner], expected)
    assert np.allclose(read.temperature_c[0, 1, inner], 0.5 * (20.0 + expected))
