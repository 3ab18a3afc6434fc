"""Questions asked now and then: each page answers, says what it was asked, and never breaks on odd words."""

from __future__ import annotations

from typing import Any

import pytest


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("/ask", "What would you like to know"),
        ("/ask/fits", "Tank mates here"),
        ("/ask/fits?thing=hornwort", "Takes up"),
        ("/ask/fits?thing=pleco", "which one"),
        ("/ask/reading?text=nh4+0.5+mg/L+NH4;+ph+8.1", "free ammonia"),
        ("/ask/reading", "What it means"),
        ("/ask/what?name=hornwort", "Ceratophyllum"),
        ("/ask/what?name=nothing+like+it+at+all", "like"),
        ("/ask/sum", "published relations"),
        ("/ask/sum?relation=gas.oxygen_saturation&temperature=25", "8.2635"),
        ("/ask/sum?relation=gas.oxygen_saturation&temperature=warm", "temperature"),
        ("/ask/stranger?question=cloudy+water,+100+L,+turtle+12+cm", "Answer"),
        ("/ask/tap?report=Nitrate+(NO3)+12+mg/L", "12 mg/L"),
        ("/ask/tap?report=nothing", "No row of the report"),
        ("/ask/rounds", "tanks, about"),
    ],
)
def test_each_question_is_answered(client: Any, path: str, said: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 200
    assert said in answer.text.replace("\u00a0", " ")


def test_names_from_the_address_cannot_write_html(client: Any) -> None:
    assert "<script>alert" not in client.get("/ask/what?name=<script>alert(1)</script>").text
