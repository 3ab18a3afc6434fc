"""Water reports: four waters in five layouts, of our own invention; every key value comes out right or is asked."""

from dataclasses import dataclass

import pytest

from lentic.logbook.report import Report, read_report

LIME, DEGREE, OXIDE = 100.086 / 2.0, 17.848, 56.077 / 20.0
"""mg of lime per meq; mg/L of lime in a German degree; German degrees per meq (10 mg/L CaO each)."""


@dataclass(frozen=True)
class Tap:
    """A water: KH and GH in meq/L, nitrate in mg/L N, pH, free chlorine mg/L, conductivity µS/cm."""

    kh: float
    gh: float
    nitrate: float
    ph: float
    chlorine: float
    conductivity: float


WATERS = (
    Tap(0.35, 0.60, 0.40, 7.9, 0.12, 88.0), Tap(2.10, 2.90, 2.30, 7.6, 0.25, 371.0),
    Tap(3.90, 5.30, 6.40, 7.4, 0.41, 588.0), Tap(5.60, 7.10, 9.80, 7.2, 0.08, 793.0),
)  # fmt: skip


def comma(value: float, digits: int = 2) -> str:
    """Write a number with a decimal comma."""
    return f"{value:.{digits}f}".replace(".", ",")


def english(w: Tap) -> str:
    """Comma-separated, lowest, mean and highest, hardness as lime, nitrate as the ion."""
    ion = w.nitrate * 4.4268
    rows = [
        "Parameter,Units,Min,Mean,Max,Regulatory Limit,Samples",
        f"Total Hardness as CaCO3,mg/l,{w.gh * LIME * 0.9:.1f},{w.gh * LIME:.1f},{w.gh * LIME * 1.1:.1f},,4",
        f"Alkalinity as CaCO3,mg/l CaCO3,{w.kh * LIME * 0.9:.2f},{w.kh * LIME:.2f},{w.kh * LIME * 1.1:.2f},,4",
        f"Nitrate as NO3,mg/l NO3,{ion * 0.8:.2f},{ion:.3f},{ion * 1.3:.2f},50,8",
        f"Hydrogen ion (pH),pH value,{w.ph - 0.2:.1f},{w.ph:.2f},{w.ph + 0.2:.1f},6.5-9.5,8",
        f"Residual chlorine - Free,mg/l,0.01,{w.chlorine:.3f},0.60,,8",
        f"Conductivity at 20C,uS/cm,80,{w.conductivity:.0f},900,2500,4", "Turbidity,NTU,0.1,0.2,0.4,4,8",
    ]  # fmt: skip
    return "\n".join(rows)


def german(w: Tap) -> str:
    """Tabs, decimal commas, German degrees, limits beside the values."""
    rows = [
        "Parameter\tEinheit\tMesswert\tGrenzwert", f"Gesamthärte\t°dH\t{comma(w.gh * OXIDE, 3)}\t",
        f"Karbonathärte\t°dH\t{comma(w.kh * OXIDE, 3)}\t", f"Säurekapazität bis pH 4,3\tmmol/l\t{comma(w.kh, 3)}\t",
        f"Nitrat (NO3)\tmg/l\t{comma(w.nitrate * 4.4268, 2)}\t50", f"pH-Wert\t\t{comma(w.ph)}\t6,5 - 9,5",
        f"freies Chlor\tmg/l\t{comma(w.chlorine, 3)}\t0,3",
        f"Elektrische Leitfähigkeit bei 25 °C\tµS/cm\t{w.conductivity:.0f}\t2790",
    ]  # fmt: skip
    return "\n".join(rows)


def french(w: Tap) -> str:
    """Bars, French degrees, bicarbonate besides."""
    rows = [
        "| Paramètre | Valeur | Unité |", f"| Titre hydrotimétrique | {comma(w.gh * 5.0, 2)} | °f |",
        f"| Titre alcalimétrique complet | {comma(w.kh * 5.0, 2)} | °f |",
        f"| Nitrates (en NO3) | {comma(w.nitrate * 4.4268, 2)} | mg/L |", f"| pH | {comma(w.ph)} | unité pH |",
        f"| Chlore libre | {comma(w.chlorine, 3)} | mg(Cl2)/L |",
        f"| Conductivité à 25°C | {w.conductivity:.0f} | µS/cm |",
    ]  # fmt: skip
    return "\n".join(rows)


def american(w: Tap) -> str:
    """Plain lines, ppm, nitrate measured as nitrogen, grains per gallon."""
    return (
        f"Nitrate (measured as Nitrogen): {w.nitrate:.2f} ppm\nTotal Hardness: {w.gh * LIME:.1f} ppm as CaCO3\n"
        f"Total Alkalinity: {w.kh * LIME:.2f} ppm as CaCO3\npH: {w.ph:.2f}\nFree Chlorine: {w.chlorine:.3f} ppm\n"
        f"Electrical conductivity: {w.conductivity:.0f} uS/cm\n"
    )


def spanish(w: Tap) -> str:
    """Semicolons, hardness as mmol/L, bicarbonate in mg/L, conductivity in mS/m."""
    rows = [
        "Parámetro;Unidad;Valor;Límite", f"Dureza total;mmol/L;{comma(w.gh / 2.0, 4)};",
        f"Bicarbonatos;mg/L HCO3;{comma(w.kh * 61.017, 2)};", f"Nitratos (NO3);mg/L;{comma(w.nitrate * 4.4268, 2)};50",
        f"pH;;{comma(w.ph)};6,5-9,5", f"Cloro residual libre;mg/L;{comma(w.chlorine, 3)};1,0",
        f"Conductividad a 20 °C;mS/m;{comma(w.conductivity / 10.0, 2)};250",
    ]  # fmt: skip
    return "\n".join(rows)


LAYOUTS = (english, german, french, american, spanish)


@pytest.mark.parametrize("water", WATERS, ids=lambda w: f"{w.kh} meq")
@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda f: f.__name__)
def test_twenty_reports_come_out_right(layout: object, water: Tap) -> None:
    """Five layouts of four waters: six key values within half a percent, and nothing needs asking."""
    assert callable(layout)
    report = read_report(layout(water))
    assert not report.questions, report.questions
    for quantity in ("kh", "gh", "nitrate", "ph", "chlorine", "conductivity"):
        found = report.get(quantity)
        assert found is not None, quantity
        assert found.value == pytest.approx(getattr(water, quantity), rel=0.005), quantity
        assert found.low <= found.value <= found.high


def asked(row: str) -> str:
    """Return the question about a row; nothing may be taken from it."""
    report = read_report(row)
    assert not report.values and len(report.questions) == 1, report
    return report.questions[0].text


@pytest.mark.parametrize(
    ("row", "question"),
    [
        ("Nitrate: 12 mg/L", "as NO3 or as N"), ("Nitrite: 0.1 ppm", "as NO2 or as N"),
        ("Ammonium\tmg/l\t0,02", "as NH4 or as N"), ("Phosphate: 1.2 mg/l", "as PO4 or as P"),
        ("Hardness: 120 ppm", "in mg/L of what"), ("Total hardness: 7.5", "unit is missing"),
        ("Alkalinity: 80 mg/L", "in mg/L of what"), ("Carbonate hardness: 2.1 mmol/L", "acid capacity or lime"),
        ("Copper: 0.05", "unit of copper is missing"), ("Conductivity: 500", "unit of the conductivity"),
        ("Calcium: 1,234 mg/l", "decimal sign or does it part thousands"),
        ("Nitrate as NO3 | mg/L | 12 | 50", "Which of these"),
        ("Nitrate as NO3;mg/L;30;20;10", "out of order"),
    ],
)  # fmt: skip
def test_what_could_be_two_things_is_asked(row: str, question: str) -> None:
    """A unit is never guessed, nor which number is the water's."""
    assert question in asked(row)


def one(row: str) -> Report:
    """Read one row that leaves nothing open."""
    report = read_report(row)
    assert not report.questions, report.questions
    return report


@pytest.mark.parametrize(
    ("row", "quantity", "value"),
    [
        ("Nitrate-N: 2.0 mg/L", "nitrate", 2.0), ("Nitrat als N\tmg/l\t2,0", "nitrate", 2.0),
        ("Nitrate as N: 350 µg/L", "nitrate", 0.35), ("Nitrite (NO2): 33 µg/l", "nitrite", 0.01005),
        ("Ammonium-N: 0.05 mg/l", "ammonia", 0.05), ("Ammonia (as NH4): 0.10 mg/L", "ammonia", 0.0776),
        ("Total Hardness as Ca: 80 mg/l", "gh", 3.992), ("Hardness: 12 degrees Clark", "gh", 3.42),
        ("Hardness: 10 grains per gallon", "gh", 3.42), ("Lead: 3 µg/L", "lead", 0.003),
        ("Chloramines: 2.8 ppm", "chloramine", 2.8), ("Copper: <0.05 mg/L", "copper", 0.05),
        ("Conductivity: 52 mS/m", "conductivity", 520.0), ("KH: 6 dKH", "kh", 2.14),
    ],
)  # fmt: skip
def test_units_of_all_kinds(row: str, quantity: str, value: float) -> None:
    """Values by hand from molar masses: NO2 46.005, NH4 18.039, Ca 40.078; Clark 14.254 mg/L of lime."""
    found = one(row).get(quantity)
    assert found is not None and found.value == pytest.approx(value, rel=0.004)


def test_a_span_is_lowest_and_highest() -> None:
    """`0.3 - 0.8 mg/L` has a middle and two ends; less-than goes down to nought."""
    found = one("Free chlorine: 0.3 - 0.8 mg/L").get("chlorine")
    assert found is not None and (found.low, found.high) == (0.3, 0.8) and found.value == pytest.approx(0.55)
    below = one("Nitrite as NO2: <0.05 mg/L").get("nitrite")
    assert below is not None and below.below and below.low == 0.0


def test_a_quantity_that_stands_twice_and_differs_is_asked() -> None:
    """Two hardnesses that agree are one; two that do not are a question."""
    assert len(one("Total hardness: 10 °dH\nHardness: 178.5 mg/L as CaCO3").values) == 1
    report = read_report("Total hardness: 10 °dH\nHardness: 250 mg/L as CaCO3")
    assert "stands twice" in report.questions[0].text


def test_rows_that_are_not_used_are_shown() -> None:
    """Nothing vanishes in silence; text without numbers is no row."""
    report = read_report("Your water this year\nTurbidity: 0.2 NTU\nNitrate as NO3: 5 mg/L\nColour: none")
    assert report.passed_over == ("Turbidity: 0.2 NTU",)
    assert read_report("") == Report()
