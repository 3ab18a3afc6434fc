"""The tap card: what follows from a report, and what is asked where it differs from the keeper's own words."""

from lentic.advice.tap_card import TapCard, tap_card
from lentic.logbook.report import read_report
from lentic.logbook.tank import SourceWater


def card(text: str, own: SourceWater | None = None) -> TapCard:
    """Return the card of a report."""
    return tap_card(read_report(text), own)


def test_chloramine_is_told_from_chlorine() -> None:
    """Named, or seen where total chlorine stands above free chlorine."""
    assert "leaves ammonia" in card("Monochloramine: 2.1 mg/L").sentences[0]
    assert "that is chloramine" in card("Total chlorine: 1.8 mg/L\nFree chlorine: 0.1 mg/L").sentences[0]
    assert "day of open standing" in card("Free chlorine: 0.3 mg/L").sentences[0]
    assert "whether it is chlorine or chloramine" in card("Total chlorine: 0.4 mg/L").sentences[0]
    assert "names no disinfectant" in card("Nitrate as NO3: 5 mg/L").sentences[0]


def test_hardness_follows_from_calcium_and_magnesium() -> None:
    """80 mg/L Ca and 12 mg/L Mg are 249 mg/L of lime, 14.0 German degrees (2.497 and 4.118 mg lime per mg)."""
    row = next(each for each in card("Calcium: 80 mg/L\nMagnesium: 12 mg/L").rows if each.quantity == "gh")
    assert abs(row.known.value - 14.0) < 0.05
    assert "worked out" in row.known.origin


def test_an_own_value_that_differs_is_asked_about() -> None:
    """More than a fifth beyond the report's span; the same water is not."""
    said = SourceWater(no3_mg_l=9.0, kh_dkh=6.0)
    asked = card("Nitrate as NO3: 28 mg/L\nKH: 6 dKH", said).asked
    assert len(asked) == 1 and "nitrate" in asked[0] and "you said 9" in asked[0]


def test_lines_for_the_tank_file_read_back() -> None:
    """What the card offers is what tank.toml takes; what is missing is named."""
    found = card("Nitrate as NO3: 28 mg/L\nAlkalinity as CaCO3: 195 mg/L\npH: 7.4\nCopper: 0.2 mg/L")
    assert found.source_water == ("ph = 7.4", "kh_dkh = 10.9", "no3_mg_l = 28.0")
    assert found.missing == ("GH (total hardness)",)
    assert any("run for two minutes" in each for each in found.sentences)
    assert any("full of carbon dioxide" in each for each in found.sentences)


def test_an_open_question_is_not_called_missing() -> None:
    """Nitrate in mg/L is asked about, not missing."""
    found = card("Nitrate: 12 mg/L\nHardness: 120 ppm")
    assert len(found.asked) == 2
    assert "nitrate" not in found.missing and "GH (total hardness)" not in found.missing
