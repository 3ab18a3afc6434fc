"""Trials of one change as JSON, the same for the command line and the pages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from lentic.keeper.trials import TrialNow
from lentic.logbook.trials import Trial, body_of


def trial_json(trial: Trial) -> Mapping[str, Any]:
    """Return a trial for scripts."""
    return {"begun": trial.begun.isoformat(), **body_of(trial)}


def now_json(view: TrialNow) -> Mapping[str, Any]:
    """Return a trial with how it stands for scripts."""
    return {
        "number": view.number, "closed": view.closed.isoformat() if view.closed else None,
        "ended": asdict(view.ended) if view.ended else None, "trial": trial_json(view.trial),
    }  # fmt: skip
