"""The keeper's own units at the edge of the pages, and only there."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from lentic.web.units import Preferences, in_units, preferences_of

US = Preferences(temperature="°F", volume="US gal", hardness="mg/L CaCO3")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        # 32 + 1.8 × 24.5; exact by definition (NIST SP 811, B.8)
        ("The water is 24.5 °C.", "The water is 76.1 °F."),
        ("20–25 °C", "68–77 °F"),
        ("between 20 to 25 °C", "between 68 to 77 °F"),
        # a difference has no offset
        ("cooler by 2.0 °C", "cooler by 3.6 °F"),
        ("1.5 °C warmer", "2.7 °F warmer"),
        ("± 1.0 °C", "± 1.8 °F"),
        # one US gallon is 3.785411784 L (NIST Handbook 44, appendix C)
        ("Change 50 L (5 buckets of 10 L).", "Change 13 US gal (5 buckets of 2.6 US gal)."),
        ("37.9\u00a0L", "10.0\u00a0US gal"),
        # one German degree is 17.848 mg/L as CaCO3 (ISO 9963 and DIN 38409 in their definitions)
        ("4.7 dKH (8 in 10: 4.4 to 5.0)", "83.9 mg/L CaCO3 (8 in 10: 78.5 to 89.2)"),
        ("4.7 dKH (4.4–5.0)", "83.9 mg/L CaCO3 (78.5–89.2)"),
        # what only looks alike stays
        ("40 mg/L NO3, 620 L/h, 12 Lamps", "40 mg/L NO3, 620 L/h, 12 Lamps"),
        ("−2 °C", "28 °F"),
    ],
)
def test_sentences_in_other_units(text: str, shown: str) -> None:
    assert in_units(text, US) == shown
    assert in_units(text, Preferences()) == text


def test_what_is_no_choice_counts_as_not_made() -> None:
    assert preferences_of({"units.volume": "barrels", "units.temperature": "°F"}) == Preferences(temperature="°F")


def test_pages_follow_the_preference_and_the_log_does_not(own: Any, posts: Callable[..., Any]) -> None:
    before = own.get("/log").text
    assert "Changed 50 L of water" in before
    posts(own, "/preferences", temperature="°F", volume="US gal", hardness="mg/L CaCO3")
    after = own.get("/log").text
    assert "Changed 13 US gal of water" in after
    assert 'value="change 50 L"' in after, "a button writes what the keeper writes"
    assert "°C" not in own.get("/").text
    assert "Temperature: 76.3 °F" in after or "76.3 °F" in after
