"""How long, wide and deep a home has to be for each animal, today and grown up, and what this one holds."""

from __future__ import annotations

from dataclasses import dataclass

from lentic.advice.findings import Finding, State, ask, known_as
from lentic.advice.growing import Curve, adult_fact
from lentic.catalogue import Animal, Fact, common, laboratory_space
from lentic.logbook.tank import Glass, Turtle

FILLED = 0.85
"""Real water in the box of length, width and depth once it is furnished; common practice, no source."""
WEAK = ("weak", "weak to moderate", "weak for its size")
RIGHTING_CM = 3.0
"""Water above the shell's width in which a turtle on its back can turn; common practice, no source. [cm]"""


@dataclass(frozen=True, kw_only=True)
class Need:
    """The least home for one shell length: sides in cm, water in litres; ends of a range where the length is one."""

    of: str
    shell_cm: tuple[float, float]
    length_cm: tuple[float, float]
    width_cm: tuple[float, float]
    depth_cm: tuple[float, float]
    litres: tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Room:
    """What one animal needs now and grown up, against what the tank has."""

    animal: str
    needs: tuple[Need, ...]
    findings: tuple[Finding, ...]
    source: str


def factors() -> tuple[Fact, Fact]:
    """Return shell lengths in the length and in the width of a tank."""
    facts = common("turtles")
    return facts["tank_length_x_scl"], facts["tank_width_x_scl"]


def need_of(of: str, record: Animal | None, shell: tuple[float, float]) -> Need:
    """Return the least home for a shell length or a range of them."""
    long, wide = (fact.middle for fact in factors())
    depth = (depth_for(record, shell[0]), depth_for(record, shell[1]))
    litres = [FILLED * long * each * wide * each * deep / 1000.0 for each, deep in zip(shell, depth, strict=True)]
    return Need(
        of=of, shell_cm=shell, length_cm=(long * shell[0], long * shell[1]), depth_cm=depth,
        width_cm=(wide * shell[0], wide * shell[1]), litres=(litres[0], litres[1]),
    )  # fmt: skip


def depth_for(record: Animal | None, shell: float) -> float:
    """Return the least depth for a shell: that of its kind, never less than lets it turn over. [cm]"""
    width = common("turtles")["shell_width_x_scl"].bounds[1] * shell
    least = record.fact("depth_min_x_scl") if record is not None else None
    most = record.fact("depth_max_cm") if record is not None else None
    depth = max(width + RIGHTING_CM, shell * (least.middle if least is not None else 1.0))
    return min(depth, most.middle) if most is not None and most.middle > width else depth


def adult_shell(record: Animal | None, turtle: Turtle, curve: Curve | None) -> tuple[float, float] | None:
    """Return the shell length grown up: of the animal's own curve, else of its kind and sex."""
    if curve is not None and curve.adult.p10 is not None and curve.adult.p90 is not None:
        return curve.adult.p10, curve.adult.p90
    sexes = (turtle.sex,) if turtle.sex in ("female", "male") else ("female", "male")
    facts = [fact for each in sexes if record is not None and (fact := adult_fact(record, each or "")) is not None]
    if not facts:
        return None
    return min(fact.bounds[0] for fact in facts), max(fact.bounds[1] for fact in facts)


def room_of(turtle: Turtle, record: Animal | None, curve: Curve | None, glass: Glass, shell_cm: float | None) -> Room:
    """Return what one animal needs, and whether this tank has it."""
    long, wide = factors()
    source = (
        f"{long.middle:g} and {wide.middle:g} × shell length ({known_as(long)}: German expert opinion 1997, in some "
        f"readings for a pair); a least, more is better"
    )
    adult = adult_shell(record, turtle, curve)
    needs: list[Need] = []
    if shell_cm is not None:
        needs.append(need_of("now", record, (shell_cm, shell_cm)))
    if adult is not None:
        needs.append(need_of("grown up", record, adult))
    if not needs:
        return Room(animal=turtle.id, needs=(), source=source, findings=(
            ask("size", f"How long is the shell of {turtle.id}, and which kind is it?"),))  # fmt: skip
    findings = [_fits(turtle, need, glass, source) for need in needs]
    return Room(animal=turtle.id, needs=tuple(needs), findings=tuple(findings), source=source)


def _fits(turtle: Turtle, need: Need, glass: Glass, source: str) -> Finding:
    what = f"size for {turtle.id}, {need.of}"
    said = f"Shell {_span(need.shell_cm)} cm: {_span(need.length_cm)} cm long, {_span(need.width_cm)} cm wide, " \
           f"water {_span(need.depth_cm)} cm deep, about {_span(need.litres, whole=True)} L of real water."  # fmt: skip
    if glass.sides_cm is None:
        return Finding(what=what, state="ask", sentence=f"{said} How long and wide is this tank inside?", source=source)
    walls = 0.2 * (glass.pane_mm or 0.0)
    short = [
        text for text in (
            _short("long", need.length_cm[0], glass.sides_cm[0], walls),
            _short("wide", need.width_cm[0], glass.sides_cm[1], walls),
        ) if text
    ]  # fmt: skip
    has = f"This tank has {glass.sides_cm[0]:.4g} × {glass.sides_cm[1]:.4g} cm inside."
    if not short:
        return Finding(what=what, state="fine", sentence=f"{said} {has}", source=source)
    state: State = "act" if need.of == "now" else "watch"
    return Finding(what=what, state=state, sentence=f"{said} {has} {' '.join(short)}", source=source,
                   do="A stopgap: plan the larger home." if need.of == "now" else "Plan for it.")  # fmt: skip


def _short(side: str, needed: float, inside: float, walls: float) -> str:
    """Say by how much a side is too short, outside and inside."""
    if inside >= needed - 1e-9:
        return ""
    outer = f" ({needed - inside - walls:.1f} cm by the outside)" if walls and inside + walls < needed else ""
    return f"{needed - inside:.1f} cm less {side} than that{outer}."


def _span(ends: tuple[float, float], whole: bool = False) -> str:
    low, high = (round(each) if whole or each >= 100 else round(each, 1) for each in ends)
    return f"{low:g}" if low == high else f"{low:g} to {high:g}"


def laboratory_floor(shell_cm: float) -> Finding:
    """Return the legal least for laboratory animals of this length: a floor far below a home."""
    steps = [(step, fact.middle) for step in laboratory_space() if (fact := step.fact("scl_to_cm")) is not None]
    fitting = [step for step, to in steps if shell_cm <= to] or [laboratory_space()[-1]]
    step = fitting[0]
    area, depth = step.facts["water_cm2"], step.facts["water_depth_cm"]
    return Finding(
        what="legal least in laboratories", state="fine", source=known_as(area),
        sentence=f"{area.text} cm² of water, {depth.text} cm deep (EU Directive 2010/63, annex III): not a home.",
    )  # fmt: skip
