"""Findings as text: how a thing stands, what to do, where the measure comes from."""

from __future__ import annotations

from collections.abc import Sequence

from lentic.advice.findings import Finding

STATES = {"stop": "stop", "act": "today", "watch": "watch", "ask": "asks", "fine": "holds"}


def finding_lines(findings: Sequence[Finding]) -> list[str]:
    """Return findings, each with what to do and where it comes from."""
    found: list[str] = []
    for each in findings:
        found.append(f"  {STATES[each.state]:<6} {each.what}: {each.sentence}")
        if each.do:
            found.append(f"         do: {each.do}")
        if each.source:
            found.append(f"         from: {each.source}")
    return found
