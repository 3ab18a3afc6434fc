"""The table of pane coefficients, recomputed from the exact series, and the series against Roark's digits."""

import csv
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from lentic.science import plate
from lentic.science.arrays import Array


@dataclass(frozen=True, kw_only=True)
class Pane:
    """A rectangular plate, two upright edges and the bottom simply supported."""

    length: float
    height: float
    poisson: float
    free_top: bool
    water: bool  # load falls from the bottom to the top edge; otherwise it is even

    def coefficients(self, terms: int = 25, across: int = 81, up: int = 161) -> tuple[float, float]:
        """Return stress and deflection coefficients of M. Levy's series, for unit load at the bottom."""
        y, x = np.linspace(0.0, self.height, up), np.linspace(0.0, self.length, across)
        w, wxx, wyy, wxy = (np.zeros((up, across)) for _ in range(4))
        for wave in range(1, 2 * terms, 2):
            a = wave * np.pi / self.length
            value, slope, curve = self._strip(a, wave, y)
            sine, cosine = np.sin(a * x), np.cos(a * x)
            w += np.outer(value, sine)
            wxx -= np.outer(a * a * value, sine)
            wyy += np.outer(curve, sine)
            wxy += np.outer(a * slope, cosine)
        nu = self.poisson
        mx, my, twist = -(wxx + nu * wyy), -(wyy + nu * wxx), -(1.0 - nu) * wxy
        principal = (mx + my) / 2.0 + np.hypot((mx - my) / 2.0, twist)
        return 6.0 * principal.max() / self.height**2, 12.0 * (1.0 - nu**2) * w.max() / self.height**4

    def _strip(self, a: float, wave: int, y: Array) -> tuple[Array, Array, Array]:
        """Return deflection, slope and curvature of one term along the height."""
        nu, tall = self.poisson, self.height
        below, above, u, v = np.exp(-a * y), np.exp(-a * (tall - y)), a * y, a * (tall - y)
        f = [below, u * below, above, v * above]
        f1 = [-a * below, a * (1 - u) * below, a * above, a * (v - 1) * above]
        f2 = [a * a * below, a * a * (u - 2) * below, a * a * above, a * a * (v - 2) * above]
        f3 = [-(a**3) * below, a**3 * (3 - u) * below, a**3 * above, a**3 * (v - 3) * above]
        load = 4.0 / (wave * np.pi * a**4)
        part = load * (1.0 - y / tall) if self.water else load * np.ones_like(y)
        part_slope = -load / tall if self.water else 0.0
        rows = [[g[0] for g in f], [g[0] / a**2 for g in f2]]
        sides = [-part[0], 0.0]
        if self.free_top:  # no bending moment and no edge force
            rows.append([f2[j][-1] / a**2 - nu * f[j][-1] for j in range(4)])
            rows.append([f3[j][-1] / a**3 - (2.0 - nu) * f1[j][-1] / a for j in range(4)])
            sides += [nu * part[-1], (2.0 - nu) * part_slope / a]
        else:
            rows += [[g[-1] for g in f], [g[-1] / a**2 for g in f2]]
            sides += [-part[-1], 0.0]
        s = np.linalg.solve(np.array(rows), np.array(sides))
        total = [sum((s[j] * g[j] for j in range(4)), start=np.zeros_like(y)) for g in (f, f1, f2)]
        return part + total[0], part_slope + total[1], total[2]


def roark_rows() -> list[dict[str, str]]:
    """Return the rows of the check table that print Roark's coefficients."""
    with (Path(__file__).parents[1] / "data" / "checks_water.csv").open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["source"].startswith("Roark Table 11.4")]


@pytest.mark.parametrize("row", roark_rows(), ids=lambda row: row["id"])
def test_the_series_gives_the_digits_of_roark(row: dict[str, str]) -> None:
    """Even load, four supported edges, Poisson's ratio 0.3; half a percent for the rounding of the table."""
    ratio = float(row["inputs"].removeprefix("a_b="))
    pane = Pane(length=ratio, height=1.0, poisson=0.3, free_top=False, water=False)
    assert pane.coefficients()[0] == pytest.approx(float(row["expected"]), rel=0.005)


CASES = [(material, braced) for material in ("glass", "acrylic") for braced in (False, True)]
NU = {"glass": plate.GLASS_POISSON, "acrylic": plate.ACRYLIC_POISSON}


@pytest.mark.parametrize(("material", "braced"), CASES)
@pytest.mark.parametrize("ratio", [0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 4.0])
def test_the_table_holds_the_series(ratio: float, material: str, braced: bool) -> None:
    """Three printed digits for stress and for deflection, two where the table prints two."""
    pane = Pane(length=ratio, height=1.0, poisson=NU[material], free_top=not braced, water=True)
    stress, bending = pane.coefficients()
    assert plate.stress_coefficient(ratio, material, braced) == pytest.approx(stress, rel=0.008)
    assert plate.deflection_coefficient(ratio, material, braced) == pytest.approx(bending, rel=0.015)


@pytest.mark.parametrize(("material", "braced"), CASES)
@pytest.mark.parametrize("ratio", [0.9, 1.1, 1.4, 1.9, 2.25, 2.75, 3.5])
def test_straight_lines_are_good_enough_between_the_nodes(ratio: float, material: str, braced: bool) -> None:
    """Within 4 % of the series for stress."""
    pane = Pane(length=ratio, height=1.0, poisson=NU[material], free_top=not braced, water=True)
    assert plate.stress_coefficient(ratio, material, braced) == pytest.approx(pane.coefficients()[0], rel=0.04)


@pytest.mark.parametrize("ratio", [1.0, 1.5, 2.0, 3.0])
def test_the_bottom_table_holds_the_series(ratio: float) -> None:
    """Even load on four supported edges with the Poisson's ratio of glass."""
    pane = Pane(length=ratio, height=1.0, poisson=plate.GLASS_POISSON, free_top=False, water=False)
    assert plate.bottom_coefficient(ratio) == pytest.approx(pane.coefficients()[0], rel=0.005)


def test_outside_the_table_there_is_no_number() -> None:
    """Unknown is unknown: neither the last value nor a straight line beyond."""
    assert np.all(np.isnan(plate.stress_coefficient(np.array([0.4, 4.1]), "glass", True)))
    assert np.all(np.isnan(plate.deflection_coefficient(np.array([0.4, 4.1]), "acrylic", False)))
    assert np.all(np.isnan(plate.bottom_coefficient(np.array([0.9, 3.1]))))


def test_a_thicker_pane_is_safer_and_a_taller_tank_is_not() -> None:
    """Stress falls with the square of the thickness and rises with the cube of the height."""
    beta = plate.stress_coefficient(2.0, "glass", False)
    one = plate.pane_stress(beta, 0.5, 0.010)
    assert plate.pane_stress(beta, 0.5, 0.020) == pytest.approx(one / 4.0)
    assert plate.pane_stress(beta, 1.0, 0.010) == pytest.approx(one * 8.0)
    bend = plate.pane_deflection(plate.deflection_coefficient(2.0, "glass", False), 0.5, 0.010)
    assert plate.pane_deflection(plate.deflection_coefficient(2.0, "glass", False), 0.5, 0.020) == pytest.approx(
        bend / 8
    )


def test_thickness_and_stress_are_inverse() -> None:
    """The pane that just reaches 6 MPa is under 6 MPa; 120 by 60 cm comes to 12.7 mm, braced 10.5 mm."""
    for braced, millimetres in ((False, 12.7), (True, 10.5)):
        beta = plate.stress_coefficient(2.0, "glass", braced)
        thick = plate.pane_thickness(beta, 0.6, 6e6)
        assert plate.pane_stress(beta, 0.6, thick) == pytest.approx(6e6)
        assert 1000.0 * thick == pytest.approx(millimetres, abs=0.06)


def series_rows() -> list[dict[str, str]]:
    """Return the rows of the check table that an independent finite-element program filled."""
    with (Path(__file__).parents[1] / "data" / "checks_water.csv").open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["quantity"].startswith("beta, hydrostatic to the rim")]


@pytest.mark.parametrize("row", series_rows(), ids=lambda row: row["id"])
def test_the_table_agrees_with_finite_elements(row: dict[str, str]) -> None:
    """Within the stated tolerance of 1.5 % (mesh sampling of the maximum)."""
    ratio, braced = float(row["inputs"].removeprefix("L_H=")), "top supported" in row["quantity"]
    assert plate.stress_coefficient(ratio, "glass", braced) == pytest.approx(float(row["expected"]), rel=0.015)
    if braced:
        exact = plate.partly_filled_coefficient(ratio, 1.0, 1.0)
        assert exact == pytest.approx(float(row["expected"]), rel=0.015)


def test_there_are_rows_to_agree_with() -> None:
    """Guard against a parametrised test over nothing."""
    assert len(series_rows()) == 9 and len(roark_rows()) == 3


def test_a_very_long_pane_is_a_beam() -> None:
    """The greatest moment of a beam under a triangular load is w H² / (9 √3): any book of beam formulas."""
    assert plate.partly_filled_coefficient(12.0, 1.0, 1.0) == pytest.approx(6.0 / (9.0 * np.sqrt(3.0)), rel=0.005)


def test_a_pane_higher_than_the_water_is_stressed_more_than_one_of_its_height() -> None:
    """The beam again: water to 5/6 of the span; the moment is greatest where the shear is nought."""
    pane, water = 1.2, 1.0
    top = water**2 / (6.0 * pane)  # reaction at the upper edge for unit load at the bottom
    into = np.sqrt(2.0 * top * water)
    moment = top * (pane - water + into) - into**3 / (6.0 * water)
    exact = plate.partly_filled_coefficient(15.0, pane, water)
    assert exact == pytest.approx(6.0 * moment / water**2, rel=0.005)
    assert exact > 1.15 * plate.partly_filled_coefficient(15.0, 1.0, 1.0)
