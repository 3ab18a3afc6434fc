"""A session of upkeep as text."""

from __future__ import annotations

from lentic.advice.upkeep.graph import Step
from lentic.advice.upkeep.plan import UpkeepPlan
from lentic.advice.words import number
from lentic.keeper.upkeep import Now, StepState

MARKS = {"open": "[ ]", "done": "[x]", "skipped": "[-]"}


def plan_lines(view: UpkeepPlan) -> list[str]:
    """Return this week's session as text."""
    found = [f"{view.tank}: {len(view.steps)} steps, about {number(view.minutes)} minutes.", ""]
    for place, step in enumerate(view.steps, start=1):
        found += _step_lines(f"{place:2}.", step)
    if view.not_now:
        found += ["", "Not this time:"]
        found += [f"  {each.what}: {each.why}" for each in view.not_now]
    if view.unknown:
        found += ["", "Not known, and it would help:"]
        found += [f"  {each}" for each in view.unknown]
    return found


def _step_lines(mark: str, step: Step) -> list[str]:
    found = [f"{mark} {step.title} ({number(step.minutes)} min)", f"    {step.text}"]
    if step.why:
        found.append(f"    Why: {step.why}")
    if step.danger:
        found.append(f"    Careful: {step.danger}")
    return found


def now_lines(view: Now) -> list[str]:
    """Return a running session as text: what must not be forgotten first, then what is next, then the list."""
    found = [view.refused, ""] if view.refused else []
    for reminder in view.reminders:
        by = "" if reminder.by is None else f" By {reminder.by:%H:%M}."
        found.append(f"{'Stop: ' if reminder.urgent else ''}{reminder.sentence}{by}")
    if view.off_since is not None:
        found.append(f"Off since {view.off_since:%H:%M}.")
    if found and found[-1]:
        found.append("")
    if view.next is not None:
        found += _next_lines(view)
    else:
        found.append("Nothing is left to do. Close the session with --end.")
    found += ["", f"{view.tank}, begun {view.begun:%a} {view.begun.day} {view.begun:%B %H:%M}:"]
    found += [_state_line(state) for state in view.steps]
    if view.can_end and view.left_out:
        found += ["", "Left out; was that meant?"]
        found += [f"  {title}" + (f": {why}" if why else "") for title, why in view.left_out]
    return found


def _next_lines(view: Now) -> list[str]:
    state = view.next
    if state is None:
        return []
    found = _step_lines("Next:", state.step)
    if view.waits_until is not None:
        found.append(f"    Not before {view.waits_until:%H:%M}.")
    takes = f" {state.takes.split(' ')[0].upper()}" if state.takes else ""
    found.append(
        f"    When done: lentic upkeep --done {state.step.id}{takes}" + (f"   ({state.takes})" if takes else "")
    )
    return found


def _state_line(state: StepState) -> str:
    at = "" if state.at is None else f"  {state.at:%H:%M}"
    said = f"  ({state.said})" if state.said else ""
    return f"  {MARKS[state.state]} {state.step.id:10} {state.step.title}{at}{said}"
