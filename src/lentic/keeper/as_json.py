"""Views as JSON: the stable form that scripts, files and /api/v1 get, the same from every face."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lentic.advice.balance import Balance
    from lentic.advice.causes import Causes
    from lentic.advice.compare import Comparison
    from lentic.advice.forecast import Due, Forecast
    from lentic.advice.hazards import Found, Verdict
    from lentic.advice.judge import Tried
    from lentic.advice.plan import Proposal
    from lentic.advice.today import Today
    from lentic.advice.upkeep.graph import Step
    from lentic.advice.upkeep.plan import UpkeepPlan
    from lentic.keeper.opening import NotYet
    from lentic.keeper.sums import Sum


def plain(value: Any) -> Any:
    """Return a value as JSON knows it; what is not finite is null, never a made-up number."""
    if isinstance(value, float) and not math.isfinite(value):
        return None
    if isinstance(value, datetime):
        return value.isoformat(timespec="minutes")
    if isinstance(value, date | time):
        return value.isoformat()
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [plain(each) for each in value]
    return value


def not_yet_json(answer: NotYet) -> dict[str, Any]:
    """Return an absent answer for scripts."""
    return {"tank": answer.tank, "outcome": answer.sentence, "wanted": answer.wanted}


def balance_json(view: Balance) -> dict[str, Any]:
    """Return a balance in its stable form."""
    flows = [{"flow": f.flow, "element": f.element, "mg_per_week": f.mg_per_week.as_json()} for f in view.flows]
    return {"tank": view.tank, "from": view.begin, "to": view.end, "flows": flows, "closure": view.closure}


def due_json(due: Due) -> dict[str, Any]:
    """Return a due date in its stable form."""
    return {"what": due.what, "p10": due.p10, "p50": due.p50, "p90": due.p90}


def forecast_json(view: Forecast) -> dict[str, Any]:
    """Return a forecast in its stable form."""
    series = [
        {
            "quantity": s.quantity, "unit": s.unit, "times": s.times,
            "p10": [x.p10 for x in s.spreads], "p50": [x.p50 for x in s.spreads], "p90": [x.p90 for x in s.spreads],
        }
        for s in view.series
    ]  # fmt: skip
    return {
        "tank": view.tank, "from": view.begin, "members": view.members, "seed": view.seed, "outcome": view.outcome,
        "series": series, "due": [due_json(due) for due in view.due], "assumptions": view.assumptions,
    }  # fmt: skip


def compare_json(view: Comparison) -> dict[str, Any]:
    """Return a comparison for scripts."""
    differences = [
        {
            "quantity": d.quantity, "unit": d.unit, "span": d.span, "first": d.first.as_json(),
            "second": d.second.as_json(), "difference": d.difference.as_json(), "chance_higher": d.chance_higher,
        }
        for d in view.differences
    ]  # fmt: skip
    return {
        "tank": view.tank, "from": view.begin, "days": view.days, "plans": view.plans, "members": view.members,
        "differences": differences,
        "scrape_days": {"difference": view.scrape.as_json(), "chance_later": view.scrape_later},
    }  # fmt: skip


def causes_json(view: Causes) -> dict[str, Any]:
    """Return ranked causes in their stable form."""
    causes = [
        {
            "cause": c.cause, "chance": round(c.chance, 4), "for": c.speaks_for, "against": c.against,
            "test": {"do": c.test.do, "minutes": c.test.minutes, "tells": c.test.tells},
        }
        for c in view.causes
    ]  # fmt: skip
    return {"tank": view.tank, "of": view.of, "since": view.since, "causes": causes, "unknown": round(view.unknown, 4)}


def plan_json(view: Proposal) -> dict[str, Any]:
    """Return a proposal for scripts."""
    goals = view.goals
    wanted = {
        "nitrate_mg_l": goals.nitrate_mg_l, "liked_nitrate_mg_l": goals.liked_nitrate_mg_l,
        "scrape_every_d": goals.scrape_every_d,
    }  # fmt: skip
    return {
        "tank": view.tank, "from": view.begin, "days": view.days, "goals": wanted,
        "proposed": _tried(view.proposed), "second": _tried(view.second), "together": _tried(view.together),
        "before": _tried(view.before), "tried": [_tried(each) for each in view.tried],
    }  # fmt: skip


def _tried(tried: Tried | None) -> dict[str, Any] | None:
    if tried is None:
        return None
    return {
        "do": tried.do, "routine": tried.routine, "nitrate": tried.nitrate.as_json(), "chance_on_target": tried.kept,
        "scrape_every_d": tried.scrape_every.as_json(), "plants_g": tried.plants.as_json(),
        "minutes_a_week": tried.minutes_a_week, "share_better": tried.better,
        "free_ammonia_mg_l": {"before": tried.free_before, "after": tried.free_after},
        "at_once": {"cooling_k": tried.cooling_k, "ph": tried.ph_step, "kh_dkh": tried.kh_step_dkh},
        "against": tried.against,
    }  # fmt: skip


def now_json(view: Today) -> dict[str, Any]:
    """Return what is to be done for scripts."""
    return {"tank": view.tank, "day": view.day, "today": view.today, "can_wait": view.can_wait}


def check_json(view: Verdict) -> dict[str, Any]:
    """Return what was found and what is asked as JSON."""
    asks = [{"rule": ask.rules[0], "fact": ask.fact, "question": _asked(ask.about, ask.question)} for ask in view.asks]
    return {"tank": view.tank, "found": [_hazard(each) for each in view.found], "asks": asks}


def _asked(about: str, question: str) -> str:
    return f"{about}: {question}" if about else question


def _hazard(found: Found) -> dict[str, Any]:
    from lentic.advice.hazards.gate import plain as held

    content: dict[str, Any] = {
        "rule": found.rule, "severity": found.severity, "message": found.message, "instead": found.instead,
        "source": found.source, "facts": {name: held(value) for name, value in found.facts.items()},
    }  # fmt: skip
    if found.overruled is not None:
        content["overruled"] = {"when": plain(found.overruled.when), "why": found.overruled.why}
    return content


def upkeep_json(view: UpkeepPlan) -> dict[str, Any]:
    """Return this week's upkeep in its stable form."""
    return {"tank": view.tank, "minutes": view.minutes, "steps": [step_json(step) for step in view.steps]}


def step_json(step: Step) -> dict[str, Any]:
    """Return one step of the upkeep in its stable form."""
    return {
        "step": step.id, "text": step.text, "danger": step.danger, "needs": list(step.needs), "amount": step.amount,
        "unit": step.unit, "minutes": step.minutes,
    }  # fmt: skip


def sum_json(found: Sum) -> dict[str, Any]:
    """Return a hand sum for scripts."""
    return {
        "relation": found.relation.name, "inputs": found.inputs, "value": found.value, "unit": found.relation.unit,
        "values": found.values, "steps": plain(found.steps), "sources": found.relation.sources,
        "citations": found.citations, "warnings": found.warnings,
    }  # fmt: skip
