"""The home as it stands, or one that is offered: room for the animals, volume, panes, floor, furnishing, house."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from lentic.advice.findings import Finding, ask, sorted_findings
from lentic.advice.floor import Load, floor_finding, load_of
from lentic.advice.growing import curve_of, record_of
from lentic.advice.home_checks import Shell, checks_of
from lentic.advice.home_size import FILLED, Room, laboratory_floor, room_of
from lentic.advice.house import ELECTRICITY, HYGIENE, LIFTING, electricity_of, hygiene_of, lifting_of
from lentic.advice.moving import Schedule, move_of, reseal_of
from lentic.advice.pane import Panes, panes_of, seams_of
from lentic.advice.words import number
from lentic.logbook.events import Event
from lentic.logbook.tank import Glass, Home, Tank, Turtle
from lentic.science.constants import YEAR_D

OTHER_DEPTHS_CM = (-15.0, 5.0)
"""Depths that are shown beside the asked one."""


@dataclass(frozen=True, kw_only=True)
class HomeView:
    """Everything the home check found; `offered` where the tank is not the described one."""

    tank: str
    day: date
    offered: bool
    rooms: tuple[Room, ...]
    volume: Finding
    panes: Panes
    load: Load | None
    loads: tuple[tuple[float, Load], ...]
    """The load at other depths of water, in cm."""
    findings: tuple[Finding, ...]
    electricity: tuple[str, ...]
    hygiene: tuple[str, ...]
    lifting: tuple[str, ...]
    schedules: tuple[Schedule, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Offer:
    """A tank that is offered: outer sides in cm, pane in mm, and the depth of water that is wanted."""

    length_cm: float
    width_cm: float
    height_cm: float
    pane_mm: float
    depth_cm: float
    pane: str = "glass"
    braced: bool | None = None

    @property
    def glass(self) -> Glass:
        """The inside of the offered tank."""
        wall = self.pane_mm / 10.0
        return Glass(
            pane=self.pane, length_cm=self.length_cm - 2 * wall, width_cm=self.width_cm - 2 * wall,
            height_cm=self.height_cm - wall, water_depth_cm=self.depth_cm, pane_mm=self.pane_mm, braced=self.braced,
        )  # fmt: skip


def home_of(
    tank: Tank,
    events: Sequence[Event],
    now: datetime,
    offer: Offer | None = None,
    *,
    move: date | None = None,
    reseal: date | None = None,
) -> HomeView:
    """Return the home check of a tank, or of one that is offered for its animals."""
    today = tank.local_date(now)
    seen = tank if offer is None else replace(tank, glass=offer.glass, home=Home(storey=tank.home.storey))
    shells = [_shell(tank, events, turtle, today) for turtle in tank.turtles]
    rooms = [room_of(s.turtle, s.record, s.curve, seen.glass, s.length_cm or None) for s in shells]
    findings = [finding for room in rooms for finding in room.findings]
    findings += [laboratory_floor(shell.length_cm) for shell in shells[:1] if shell.length_cm]
    if offer is None:
        findings += [each for shell in shells if shell.length_cm for each in checks_of(seen, shell)]
        findings += [*electricity_of(tank, now), *hygiene_of(tank), *lifting_of(tank, events, now)]
    depth = seen.glass.water_depth_cm
    others = tuple(depth + step for step in OTHER_DEPTHS_CM if depth + step > 5.0) if depth else ()
    panes = panes_of(seen.glass, depth, others)
    loads = [(cm, load) for cm in others if (load := _load(seen, cm, tank.turtles)) is not None]
    load = _load(seen, depth, tank.turtles) if depth else None
    age = None if seen.home.seams_made is None else (today - seen.home.seams_made).days / YEAR_D
    findings += [panes.finding, *seams_of(age, seen.home.seams_peel, seen.home.edge_chipped), *_stand(seen.home)]
    findings.append(floor_finding(load, seen.home.storey))
    if seen.home.storey is None:
        findings.append(
            ask("floor", "On which floor does it stand? Write storey under [home], 0 for the ground floor.")
        )
    plans = [move_of(tank, move)] if move else []
    return HomeView(
        tank=tank.name, day=today, offered=offer is not None, rooms=tuple(rooms), volume=_volume(seen), panes=panes,
        load=load, loads=tuple(loads), findings=sorted_findings(findings), electricity=ELECTRICITY, hygiene=HYGIENE,
        lifting=LIFTING, schedules=(*plans, *([reseal_of(tank, reseal)] if reseal else [])),
    )  # fmt: skip


def _shell(tank: Tank, events: Sequence[Event], turtle: Turtle, today: date) -> Shell:
    curve = curve_of(tank, events, turtle)
    length = (curve.length_on(today).p50 if curve is not None else None) or turtle.scl_cm or 0.0
    return Shell(turtle=turtle, record=record_of(turtle), curve=curve, length_cm=length, today=today)


def _load(tank: Tank, depth: float, turtles: Sequence[Turtle]) -> Load | None:
    """Return the load at a depth; the water is that of the box less what displaces it."""
    glass = replace(tank.glass, water_depth_cm=depth)
    litres = replace(tank, glass=replace(glass, water_l=None)).measured_litres
    if depth == tank.glass.water_depth_cm and tank.glass.water_l is not None:
        litres = tank.glass.water_l
    return None if litres is None else load_of(glass, tank.home, turtles, litres, depth)


def _volume(tank: Tank) -> Finding:
    glass, box, litres = tank.glass, tank.glass.filled_litres, tank.water_litres
    if litres is None or box is None:
        known = "" if litres is None else f"{number(litres)} L by bucket. "
        return ask("volume", f"{known}Length, width and depth inside give the box; a bucket count gives the water.")
    if glass.water_l is not None:
        said = f"{number(litres)} L of real water, counted by bucket; the inside up to the line is {number(box)} L."
        return Finding(what="volume", state="fine", sentence=said, source="own measure")
    if glass.solids_l is not None:
        said = f"{number(litres)} L of real water: {number(box)} L up to the line, {number(glass.solids_l)} L solids."
        return Finding(what="volume", state="fine", sentence=said, source="own measures")
    said = f"{number(box)} L inside up to the line; furnished about {number(FILLED * box)} L. Count the buckets once."
    return Finding(what="volume", state="fine", sentence=said, source="own measures; 80 to 90 % real, common practice")


def _stand(home: Home) -> list[Finding]:
    if home.stand_slope_mm_m is None:
        return []
    level = home.stand_slope_mm_m <= 2.0
    return [Finding(
        what="stand", state="fine" if level else "act", sentence=f"{home.stand_slope_mm_m:g} mm in a metre.",
        do="" if level else "Empty it, level the stand (2 mm in a metre at most), foam under rimless glass, then fill.",
        source="common practice",
    )]  # fmt: skip
