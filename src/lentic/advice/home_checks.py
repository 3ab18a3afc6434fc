"""Gaps, rim, ramp, depth and gravel against the shell of today and the shell to come.

Every check holds for some shell lengths and not for others; the growth curve tells when the animal gets there, so a
gap that is harmless this year comes up again the year it becomes a trap.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from lentic.advice.findings import Finding, State, ask
from lentic.advice.growing import Curve, adult_fact
from lentic.advice.hazards.facts_tank import CARRIES
from lentic.advice.home_size import RIGHTING_CM, WEAK
from lentic.advice.words import number
from lentic.catalogue import Animal, common
from lentic.logbook.tank import Tank, Turtle

TRAP = (0.6, 1.1)
"""A gap between these shares of shell width or height can hold a turtle fast; common practice, no source."""
OPEN_FROM = 1.3
CLIMB = 1.5
"""Shell lengths that the rim must lie above the highest foothold; common practice, no source."""
DEEP_FOR_WEAK = 2.5
STEEP_DEG = 45.0
SWALLOWED = (0.2, 1.5)
"""Grains between these shares of the head's width can be swallowed and stick; common practice, no source."""
PRACTICE = "common practice"


@dataclass(frozen=True, kw_only=True)
class Shell:
    """One animal with the widths that go with its length: measured, or by the usual proportions."""

    turtle: Turtle
    record: Animal | None
    curve: Curve | None
    length_cm: float
    today: date

    def proportion(self, part: str) -> tuple[float, float]:
        """Return width or height of the shell, or width of the head, over its length."""
        own = {"shell_width": self.turtle.shell_width_cm, "shell_height": self.turtle.shell_height_cm}.get(part)
        if own is not None and self.turtle.scl_cm is not None:
            return own / self.turtle.scl_cm, own / self.turtle.scl_cm
        return common("turtles")[f"{part}_x_scl"].bounds

    def origin(self, part: str) -> str:
        """Say where the proportion comes from."""
        measured = {"shell_width": self.turtle.shell_width_cm, "shell_height": self.turtle.shell_height_cm}.get(part)
        return "own measure" if measured is not None else "usual proportions, from memory: measure the shell"

    def when(self, length_cm: float) -> str:
        """Say when the shell reaches a length; empty where it never may, or no curve is known."""
        if self.curve is None or length_cm <= self.length_cm:
            return ""
        day = self.curve.reaches(length_cm)
        return "" if day.p10 is None else day.sentence


Check = Callable[[Tank, Shell], Finding | None]


def gap(tank: Tank, shell: Shell) -> Finding | None:
    """A gap under decor is a trap for shells of some lengths."""
    cm = tank.home.gap_cm
    if cm is None:
        return ask(
            "gaps", "How wide and high is the smallest gap under decor, filter and ramp? Write gap_cm under [home]."
        )
    spans = {part: _trapping(cm, shell.proportion(part)) for part in ("shell_width", "shell_height")}
    said = f"The smallest gap is {cm:g} cm"
    for part, (low, high) in spans.items():
        if low <= shell.length_cm <= high:
            name = part.replace("_", " ")
            return Finding(
                what="gaps",
                state="act",
                source=f"{PRACTICE}; {shell.origin(part)}",
                sentence=f"{said}: {TRAP[0]:g} to {TRAP[1]:g} of the {name} of {shell.turtle.id}. It can wedge.",
                do=f"Close it, or open it to more than {OPEN_FROM:g} times the shell.",
            )
    ahead = sorted((low, part) for part, (low, _) in spans.items() if low > shell.length_cm and shell.when(low))
    if ahead:
        low, part = ahead[0]
        return Finding(what="gaps", state="watch", source=f"{PRACTICE}; {shell.origin(part)}",
                       sentence=f"{said}: harmless today, a trap from a shell of {number(low)} cm, {shell.when(low)}.",
                       do="Close it before then.")  # fmt: skip
    return Finding(what="gaps", state="fine", sentence=f"{said}: no trap for this shell.", source=PRACTICE)


def _trapping(gap_cm: float, proportion: tuple[float, float]) -> tuple[float, float]:
    """Return the shell lengths that a gap can hold fast, whatever the proportion within its range."""
    return gap_cm / TRAP[1] / proportion[1], gap_cm / TRAP[0] / proportion[0]


def escape(tank: Tank, shell: Shell) -> Finding | None:
    """An open tank needs a rim well above the highest foothold."""
    cm = tank.home.rim_above_foothold_cm
    if tank.glass.lid_open_fraction == 0.0:
        return Finding(what="escape", state="fine", sentence="The tank has a closed lid.")
    if cm is None:
        return ask("escape", "How far does the rim lie above the highest foothold? Write rim_above_foothold_cm.")
    upto = cm / CLIMB
    said = f"The rim lies {cm:g} cm above the highest foothold: enough up to a shell of {number(upto)} cm"
    if shell.length_cm > upto:
        return Finding(
            what="escape",
            state="act",
            sentence=f"{said}; {shell.turtle.id} has {shell.length_cm:.1f} cm.",
            do="A lid with open mesh over the basking place, or a higher rim.",
            source=PRACTICE,
        )
    when = shell.when(upto)
    state: State = "watch" if when else "fine"
    return Finding(what="escape", state=state, sentence=f"{said}{f', reached {when}' if when else ''}.",
                   source=f"{CLIMB:g} shell lengths, {PRACTICE}")  # fmt: skip


def flip(tank: Tank, shell: Shell) -> Finding | None:
    """Water must be deep enough to turn over in, and not too deep for a weak swimmer."""
    depth = tank.glass.water_depth_cm
    if depth is None:
        return ask("turning over", "How deep is the water? Write water_depth_cm under [tank].")
    low, high = shell.proportion("shell_width")
    upto = (depth - RIGHTING_CM) / high
    said = f"{depth:g} cm of water lets a shell of up to {number(upto)} cm turn over"
    source = f"shell width and {RIGHTING_CM:g} cm, {PRACTICE}; {shell.origin('shell_width')}"
    if shell.length_cm > upto:
        sure = shell.length_cm > (depth - RIGHTING_CM) / low
        return Finding(what="turning over", state="act" if sure else "watch", source=source,
                       sentence=f"{said}; {shell.turtle.id} has {shell.length_cm:.1f} cm.",
                       do="Deeper water, or measure the shell's width.")  # fmt: skip
    if _weak(shell.record) and depth > DEEP_FOR_WEAK * shell.length_cm and tank.home.climbing_path is not True:
        return Finding(what="depth", state="act", source=PRACTICE,
                       sentence=f"{shell.turtle.id} is a weak swimmer, and {depth:g} cm is more than {DEEP_FOR_WEAK:g} "
                                "shell lengths without a way to climb.",
                       do="Less water, or stairs of roots up to the surface.")  # fmt: skip
    when = shell.when(upto)
    return Finding(what="turning over", state="watch" if when else "fine", source=source,
                   sentence=f"{said}{f', reached {when}' if when else ''}.")  # fmt: skip


def _weak(record: Animal | None) -> bool:
    return record is not None and record.words("swimmer") in WEAK


def ramp(tank: Tank, shell: Shell) -> Finding | None:
    """The way to the dry place, and whether it bears the animal."""
    home = tank.home
    if home.platform_tips:
        return Finding(what="dry place", state="act", sentence="The dry place tips or floats low.", source=PRACTICE,
                       do="A rigid rough place that bears twice the animal.")  # fmt: skip
    if home.ramp_deg is None:
        return ask("ramp", "How steep is the ramp, and is it rough? Write ramp_deg and ramp_rough under [home].")
    if home.ramp_deg > STEEP_DEG and home.ramp_rough is not True:
        return Finding(what="ramp", state="act", sentence=f"{home.ramp_deg:g}° and not known to be rough: too steep.",
                       do=f"At most {STEEP_DEG:g}°, or rough.", source=PRACTICE)  # fmt: skip
    return _bears(home.platform_carries_g, shell)


def _bears(carries_g: float | None, shell: Shell) -> Finding:
    if carries_g is None:
        return ask("dry place", "What does the dry place bear before it sinks or tips? Write platform_carries_g.")
    mass = shell.turtle.mass_g if shell.curve is None else shell.curve.mass_on(shell.today).p50
    if mass is None:
        return ask("dry place", f"How heavy is {shell.turtle.id}?")
    said = f"The dry place bears {carries_g:g} g; {shell.turtle.id} weighs about {mass:.0f} g"
    if carries_g < CARRIES * mass:
        return Finding(what="dry place", state="act", sentence=f"{said}: less than twice as much.", source=PRACTICE,
                       do="A stronger one before it tips.")  # fmt: skip
    coefficient = shell.curve.coefficient.p50 if shell.curve is not None else None
    when = "" if coefficient is None else shell.when(float((carries_g / CARRIES / coefficient) ** (1 / 3)))
    return Finding(what="dry place", state="watch" if when else "fine", source=f"twice the mass, {PRACTICE}",
                   sentence=f"{said}{f': enough until {when}' if when else ''}.")  # fmt: skip


def gravel(tank: Tank, shell: Shell) -> Finding | None:
    """Grains of some sizes are swallowed."""
    if tank.home.grain_mm is None:
        return ask("gravel", "How large are the grains on the ground? Write grain_mm under [home], 0 for none.")
    grain = tank.home.grain_mm / 10.0
    low, high = common("turtles")["head_width_x_scl"].bounds
    least, most = SWALLOWED[0] * low * shell.length_cm, SWALLOWED[1] * high * shell.length_cm
    said = f"Grains of {tank.home.grain_mm:g} mm"
    source = f"{SWALLOWED[0]:g} to {SWALLOWED[1]:g} of the head's width, {PRACTICE}; head by usual proportions"
    if least <= grain <= most:
        return Finding(what="gravel", state="act", sentence=f"{said} can be swallowed and stick.", source=source,
                       do="Sand under 1 mm, stones larger than the head, or a bare ground.")  # fmt: skip
    growing = grain > most and shell.when(grain / SWALLOWED[1] / high)
    return Finding(
        what="gravel",
        state="watch" if growing else "fine",
        source=source,
        sentence=f"{said}: {f'too large to swallow until {growing}' if growing else 'not swallowed'}.",
    )


def nest(tank: Tank, shell: Shell) -> Finding | None:
    """A grown female needs a place to lay, with or without a male."""
    mature = adult_fact(shell.record, "female") if shell.record is not None else None
    if shell.turtle.sex == "male" or mature is None or tank.home.nest_box is True:
        return None
    if shell.length_cm >= mature.bounds[0]:
        return Finding(
            what="nest box",
            state="watch",
            source=f"{PRACTICE}; females from {mature.bounds[0]:g} cm (catalogue)",
            sentence=f"{shell.turtle.id} is long enough to lay and no nest box is told.",
            do="A box two shell lengths long with damp sand one deep, ready for spring.",
        )
    when = shell.when(mature.bounds[0])
    if shell.turtle.sex != "female" or not when:
        return None
    return Finding(what="nest box", state="fine", sentence=f"A nest box will be needed {when}.", source=PRACTICE)


CHECKS: tuple[Check, ...] = (gap, escape, flip, ramp, gravel, nest)


def checks_of(tank: Tank, shell: Shell) -> list[Finding]:
    """Return every check of the furnishing for one animal."""
    found = (check(tank, shell) for check in CHECKS)
    return [each for each in found if each is not None]
