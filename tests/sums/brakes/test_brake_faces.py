"""Effective radius, torque and pressure of a rubbed face."""

from xml.etree import ElementTree

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad

from onceapart.errors import SumError
from onceapart.sums.brakes import faces
from onceapart.sums.result import Band
from onceapart.sums.run import run_sum

MM_PER_INCH = 25.4
LBF_N = 4.4482216152605
PSI_MPA = 0.006894757293168
radii = st.tuples(st.floats(30, 200), st.floats(30, 200)).filter(lambda each: each[0] > each[1] * 1.001)


def test_ugural_example_13_6():
    """Ugural, Mechanical Engineering Design, example 13.6: two 60° pads, D 10 in, d 5 in, f 0.2, 200 psi."""
    outer, inner = 5 * MM_PER_INCH, 2.5 * MM_PER_INCH
    force = faces.pad_force_n(200 * PSI_MPA, 60, outer, inner)
    assert f"{force / LBF_N:.0f}" == "1309"  # printed
    radius = faces.wear_radius_mm(outer, inner)
    assert radius / MM_PER_INCH == pytest.approx(3.75)  # printed
    both_pads = faces.disc_torque_nm(0.2, force / 1000, radius) * 1000 / LBF_N / MM_PER_INCH
    assert f"{both_pads / 2:.0f}" == "982"  # printed, one pad


def test_shigley_example_16_3_with_inputs_from_memory():
    """r 3.875 and 5.5 in, 108°, 0.37, 13 000 lbf·in for two pads: recalled, not seen; figures by hand."""
    outer, inner = 5.5 * MM_PER_INCH, 3.875 * MM_PER_INCH
    radius = faces.wear_radius_mm(outer, inner)
    force = 13000 / (2 * 0.37 * radius / MM_PER_INCH)  # lbf
    assert f"{force:.0f}" == "3748"
    pressure = faces.pad_pressure_mpa(force * LBF_N, 108, outer, inner) / PSI_MPA
    assert f"{pressure:.1f}" == "315.8"
    assert f"{faces.pressure_radius_mm(outer, inner) / MM_PER_INCH:.3f}" == "4.734"


@given(radii)
def test_both_radii_against_integrals_of_the_pressure(ring):
    """Uniform wear is pressure times radius the same; uniform pressure is pressure the same."""
    outer, inner = ring
    for pressure, radius in (
        (lambda r: 1 / r, faces.wear_radius_mm(outer, inner)),
        (lambda r: 1.0, faces.pressure_radius_mm(outer, inner)),
    ):
        torque, _ = quad(lambda r, p=pressure: p(r) * r * r, inner, outer)
        force, _ = quad(lambda r, p=pressure: p(r) * r, inner, outer)
        assert radius == pytest.approx(torque / force, rel=1e-9)


@given(radii)
def test_uniform_wear_gives_the_smaller_radius_and_both_lie_within_the_ring(ring):
    outer, inner = ring
    assert inner < faces.wear_radius_mm(outer, inner) <= faces.pressure_radius_mm(outer, inner) < outer


@given(radii, st.floats(0.2, 5))
def test_scaling_the_disc_scales_radius_and_area(ring, factor):
    outer, inner = ring
    assert faces.pressure_radius_mm(outer * factor, inner * factor) == pytest.approx(
        factor * faces.pressure_radius_mm(outer, inner)
    )
    assert faces.face_area_cm2(outer * factor, inner * factor) == pytest.approx(
        factor**2 * faces.face_area_cm2(outer, inner), rel=1e-9
    )


@given(radii, st.floats(0.05, 0.95))
def test_two_halves_make_the_whole_face(ring, part):
    outer, inner = ring
    between = inner + part * (outer - inner)
    assume(inner < between < outer)
    whole = faces.pad_force_n(1, 50, outer, inner)
    # Pressure times radius is one constant over a worn-in face, so the outer part's inner edge has less.
    halves = faces.pad_force_n(1, 50, between, inner) + faces.pad_force_n(inner / between, 50, outer, between)
    assert halves == pytest.approx(whole)


@given(st.floats(1, 200), st.floats(200, 5000), st.floats(0.05, 1), st.floats(30, 200))
def test_torque_grows_with_pressure_friction_and_radius(pressure, area, friction, radius):
    force = faces.clamp_force_kn(pressure, area)
    torque = faces.disc_torque_nm(friction, force, radius)
    assert faces.clamp_force_kn(2 * pressure, area) == pytest.approx(2 * force)
    assert faces.disc_torque_nm(friction, force, 2 * radius) == pytest.approx(2 * torque)
    assert faces.disc_torque_nm(friction / 2, force, radius) == pytest.approx(torque / 2)


@pytest.mark.parametrize(
    ("call", "rule"),
    [
        (lambda: faces.wear_radius_mm(50, 50), "measure again"),
        (lambda: faces.pressure_radius_mm(50, -1), "at least 0"),
        (lambda: faces.pad_force_n(1, 0, 50, 40), "must be above 0 and at most 360"),
        (lambda: faces.pad_pressure_mpa(1, 60, 50, 0), "no limit there"),
        (lambda: faces.clamp_force_kn(-1, 100), "check both"),
        (lambda: faces.disc_torque_nm(1.2, 1, 100), "at most 1"),
    ],
)
def test_edges_are_refused(call, rule):
    with pytest.raises(SumError, match=rule):
        call()


FACE = {"face-outer": "280 mm", "face-inner": "180 mm"}


def test_a_band_as_wide_as_the_face_changes_nothing():
    values = run_sum("brake-band", {**FACE, "band-outer": "280 mm", "band-inner": "180 mm"}).values
    for name in ("torque_share_wear", "torque_share_pressure", "area_share"):
        assert values[name] == pytest.approx(100)
    assert values["pressure_raised"] == pytest.approx(1)
    assert values["torque"] is None


def test_a_narrow_band_keeps_its_torque_and_raises_the_pressure():
    result = run_sum(
        "brake-band", {**FACE, "band-outer": "240 mm", "band-inner": "220 mm", "pistons": "54 mm"}
    )
    assert result.values["torque_share_wear"] == pytest.approx(100)
    assert result.values["pressure_raised"] > 3
    assert "touched" in result.warnings[0]
    assert isinstance(result.values["torque"], Band)


def test_a_fixed_caliper_presses_with_the_pistons_of_one_side():
    typed = {**FACE, "band-outer": "270 mm", "band-inner": "190 mm", "friction": "0.4"}
    one = run_sum("brake-band", {**typed, "pistons": "54 mm"}).values["torque"]
    two = run_sum("brake-band", {**typed, "pistons": "54 mm: 2", "caliper": "fixed"}).values["torque"]
    assert one.typical == pytest.approx(two.typical)


def test_a_band_outside_the_face_is_refused():
    with pytest.raises(SumError, match="must lie within the face"):
        run_sum("brake-band", {**FACE, "band-outer": "290 mm", "band-inner": "190 mm"})
    with pytest.raises(SumError, match="band: inside diameter"):
        run_sum("brake-band", {**FACE, "band-outer": "190 mm", "band-inner": "200 mm"})


def test_the_drawing_is_to_scale():
    drawing = run_sum("brake-band", {**FACE, "band-outer": "252 mm", "band-inner": "190 mm"}).drawing
    circles = ElementTree.fromstring(drawing).findall(".//{*}circle")
    sizes = [float(each.get("r")) for each in circles]
    scale = sizes[0] / 140
    expected = [140, 90, 126, 95, (126 + 95) / 2, (140 + 90) / 2]
    assert sizes == pytest.approx([scale * each for each in expected], abs=0.01)
