"""What feeds the algae, the ammonia, the nitrate, or takes the KH: causes weighed by what the log shows.

The weights say how strongly a contrast speaks for a cause; they are common practice, no source, and were set while
looking at a bank of invented tanks. Where the fitted tank was run again without a cause (``advice.withdrawn``), what
the panes would then have shown counts too. Chances are a softmax of the sums, with a share always left unknown.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from lentic.advice.marks import Marks, marks_of
from lentic.logbook.events import Event, Look, Reading, Scrape
from lentic.logbook.tank import Tank

Array = npt.NDArray[np.float64]

SUBJECTS = ("algae", "ammonia", "kh", "nitrate", "cloudy")
SHORTER, A_LITTLE = 1.28, 1.1
"""Scraping intervals shorter by the first factor ask for a cause; by the second only where the log shows one. [-]"""
CLEAR = 3.0
"""Score of a change in the log that nobody would miss. [-]"""
UNKNOWN_SCORE = 0.6
EFFECT_WEIGHT, MOST_EFFECT = 0.5, 1.5
"""Weight of a logarithm of algae that would not have been there, and the most that counts. [-]"""
NAMED: Mapping[str, str] = {
    "lamp": "longer lamp hours", "note_light": "another lamp", "note_sun": "sun on the panes", "feed": "more food",
    "animal_in": "another animal", "thin_hard": "a hard thinning", "lost": "plants lost at once",
    "note_eaten": "eaten plants", "planted": "many plants put in", "note_carbon": "air stone or splashing",
    "no_siphon": "less siphoning", "note_dirty": "dirt left lying", "rinse_tap": "media washed under the tap",
    "power": "a stopped filter", "less_change": "less water changed", "note_lazy": "changes left out",
    "animal_out": "a dead animal", "note_warm": "heat", "note_stirred": "stirred ground",
}  # fmt: skip
"""Contrasts in words, for saying that the log shows none."""
NOTICED = 0.1
"""What a rerun shows less of is said from here on. [-]"""
TITLES: Mapping[str, str] = {
    "algae": "what feeds the algae", "ammonia": "where the ammonia comes from",
    "nitrate": "where the nitrate comes from", "kh": "what takes the KH", "cloudy": "what clouds the water",
}  # fmt: skip
_AS_BEFORE = {
    "algae": "is about as green", "nitrate": "reads about as much nitrate", "ammonia": "reads about as much ammonia",
    "kh": "loses about as much KH",
}  # fmt: skip
NO_CHANGE = "The panes are scraped about as often as before: the log shows nothing to explain."


@dataclass(frozen=True, kw_only=True)
class Test:
    """The cheapest next test of a cause."""

    do: str
    minutes: int
    tells: str


@dataclass(frozen=True, kw_only=True)
class Cause:
    """One possible cause with its chance, what speaks for and against it, and how to find out."""

    cause: str
    chance: float
    speaks_for: tuple[str, ...]
    against: tuple[str, ...]
    test: Test


@dataclass(frozen=True, kw_only=True)
class Causes:
    """Ranked causes of one trouble; an empty list means that the log shows no change to explain."""

    tank: str
    of: str
    since: datetime | None
    causes: tuple[Cause, ...]
    unknown: float
    sentence: str


WEIGHTS: Mapping[str, Mapping[str, float]] = {
    "light": {"lamp": 1.0, "note_light": 0.9, "ph": 0.15, "nitrate": -0.1},
    "sun": {"note_sun": 1.3, "spring": 0.5, "window": 0.5, "ph": 0.2, "nitrate": -0.2, "temperature": 0.05},
    "load": {"feed": 1.0, "animal_in": 1.0, "leftovers": 0.5, "nitrate": 0.3, "phosphate": 0.3},
    "plants": {"thin_hard": 0.9, "lost": 1.1, "note_eaten": 0.9, "no_thin": 0.3, "nitrate": 0.25,
               "planted": -0.8, "dying": 0.55},
    "overplanted": {"planted": 1.3, "dying": 0.3, "note_brown": 0.7, "no_thin": 0.2},
    "carbon": {"note_carbon": 1.2, "ph": 0.7, "kh": -0.1, "nitrate": -0.05},
    "dirt": {"no_siphon": 0.8, "no_rinse": 0.4, "flow_down": 0.5, "note_dirty": 0.9, "phosphate": 0.15},
    "filter": {"rinse_tap": 0.9, "rinse_all": 0.45, "power": 0.9, "ammonia_peak": 0.35, "nitrite_peak": 0.35,
               "extra_change": -0.3, "rinse_tank": -0.8},
    "tap": {"tap_nitrate": 0.7, "tap_phosphate": 0.7, "note_tap": 0.6, "nitrate": 0.15},
    "changes": {"less_change": 0.9, "note_lazy": 0.9, "nitrate": 0.15},
    "dead": {"note_rot": 0.7, "animal_out": 0.9, "ammonia_peak": 0.35, "nitrite_peak": 0.2, "nitrate": 0.3,
             "phosphate": 0.35, "rinse_tap": -0.4, "rinse_all": -0.4, "feed": -0.5, "power": -0.5},
    "chloramine": {"ammonia_peak": 0.2, "extra_change": 0.3},
    "warmth": {"temperature": 0.7, "room_temperature": 0.5, "note_warm": 0.9},
    "disturbance": {"rinse_tank": 0.6, "extra_change": 0.6, "note_stirred": 1.0, "rinse_all": 0.3, "rinse_tap": -0.5},
}  # fmt: skip
PRIORS: Mapping[str, Mapping[str, float]] = {
    "algae": {"sun": 0.2, "chloramine": -2.0},
    "ammonia": {"light": -3.0, "sun": -3.0, "carbon": -3.0, "filter": 0.8, "dead": 0.6, "load": 0.4, "chloramine": 0.0,
                "overplanted": 0.2},
    "kh": {"light": -3.0, "sun": -3.0, "plants": -1.0, "carbon": -2.5, "load": 0.6, "changes": 0.6, "tap": 0.4,
           "warmth": -2.0, "chloramine": -3.0},
    "nitrate": {"light": -2.5, "sun": -3.0, "carbon": -2.5, "load": 0.6, "changes": 0.6, "plants": 0.5, "tap": 0.3,
                "chloramine": -2.0, "filter": -2.0, "warmth": -1.5},
    "cloudy": {"light": -0.5, "sun": 0.3, "carbon": -2.5, "disturbance": 0.5, "dead": 0.4, "filter": 0.4, "load": 0.3,
               "tap": -1.0, "changes": -0.5},
}  # fmt: skip
TESTS: Mapping[str, Test] = {
    "light": Test(do="Read the timer of the plant lamp and watch it for one day.", minutes=5,
                  tells="More hours than you meant, or another lamp: light."),
    "sun": Test(do="Look at the panes every two hours on a clear day, and note when sun falls on them.", minutes=10,
                tells="Direct sun for half an hour or more: sun. Shade the pane for two weeks."),
    "load": Test(do="Weigh every feed for three days and take leftovers out after an hour.", minutes=15,
                 tells="More grams than in the weeks before, or leftovers: load."),
    "plants": Test(do="Take the plants out, shake them dry and weigh them.", minutes=15,
                   tells="Much less than two months ago: plants."),
    "overplanted": Test(do="Feel the lower stems of the plants.", minutes=5,
                        tells="Soft and brown below: more plant than the light carries."),
    "carbon": Test(do="Read the pH as the lamp goes on and as it goes off, with the KH.", minutes=10,
                   tells="A pH high even at lamp on: carbon dioxide is driven out."),
    "dirt": Test(do="Measure the flow at the outlet with a bucket and look at the first water of the siphon.",
                 minutes=10, tells="A third less flow, or dark water: dirt."),
    "filter": Test(do="Read ammonia and nitrite a day after the largest meal.", minutes=10,
                   tells="More than the first step of the kit: the film is behind."),
    "tap": Test(do="Read nitrate and phosphate of the tap.", minutes=10, tells="Higher than on your card: the tap."),
    "changes": Test(do="Add up the litres of the last four weeks.", minutes=5,
                    tells="Less than in the weeks before: changes."),
    "dead": Test(do="Count all animals, look behind wood and filter, and smell.", minutes=15,
                 tells="Something missing or foul: take it out."),
    "chloramine": Test(do="Read total ammonia of fresh tap water with conditioner.", minutes=10,
                       tells="Ammonia in it: chloramine."),
    "warmth": Test(do="Read a second thermometer in the morning and in the evening.", minutes=5,
                   tells="Two degrees above what is set: warmth."),
    "disturbance": Test(do="Wait two weeks without touching ground or filter.", minutes=0,
                        tells="The panes stay clean longer each time: it was the disturbance."),
}  # fmt: skip


def causes_of(
    tank: Tank,
    events: Sequence[Event],
    of: str,
    nitrogen: Mapping[str, float],
    effects: Callable[[datetime], Mapping[str, float]] | None = None,
) -> Causes:
    """Return ranked causes of a trouble, or that nothing has changed that would need one.

    ``effects`` runs the fitted tank again without each cause, if there is one: given the onset, it tells by which
    logarithm the panes would have been cleaner.
    """
    onset = onset_of(events, of)
    nothing = Causes(tank=tank.name, of=of, since=None, causes=(), unknown=1.0, sentence=onset.sentence)
    if onset.since is None:
        return nothing
    since, said = onset.since, onset.sentence
    marks = marks_of(tank, events, since, nitrogen)
    scores = {name: score(name, of, marks) for name in WEIGHTS}
    if not onset.clear and max(scores.values()) < CLEAR:
        return replace(nothing, sentence=NO_CHANGE)
    again = effects(since) if effects else {}
    for name, less in again.items():
        scores[name] += EFFECT_WEIGHT * min(max(less, -0.3), MOST_EFFECT)
    total = math.exp(UNKNOWN_SCORE) + sum(math.exp(s) for s in scores.values())
    order = sorted(scores, key=lambda name: (-scores[name], name))
    found = tuple(
        _with_effect(_cause(name, of, math.exp(scores[name]) / total, marks), of, again.get(name)) for name in order
    )
    return Causes(
        tank=tank.name, of=of, since=since, causes=found, unknown=math.exp(UNKNOWN_SCORE) / total, sentence=said
    )


def _with_effect(cause: Cause, of: str, less: float | None) -> Cause:
    """Add to a cause what the fitted tank shows without it."""
    if less is None:
        return cause
    if less > NOTICED:
        said = f"run again without it, the fitted tank has {_less(of, less)}"
        return replace(cause, speaks_for=(said, *cause.speaks_for))
    said = f"run again without it, the fitted tank {_AS_BEFORE[of]}"
    return replace(cause, against=(said, *cause.against))


def _less(of: str, less: float) -> str:
    if of == "kh":
        return f"{less:.1f} dKH more at your readings"
    share = 100 * (1 - math.exp(-less))
    return f"{share:.0f} % less algae at your looks" if of == "algae" else f"{share:.0f} % less {of} at your readings"


def score(name: str, of: str, marks: Marks) -> float:
    """Return how much the contrasts speak for a cause of a trouble."""
    # the trouble itself tells nothing of its cause
    told = {mark: weight for mark, weight in WEIGHTS[name].items() if mark not in (of, f"{of}_peak")}
    weighed = sum(weight * marks.of(mark) for mark, weight in told.items())
    return PRIORS[of].get(name, 0.0) + 1.3 * weighed


def _cause(name: str, of: str, chance: float, marks: Marks) -> Cause:
    parts = {mark: weight * marks.of(mark) for mark, weight in WEIGHTS[name].items() if mark in marks.said}
    parts = {mark: size for mark, size in parts.items() if mark not in (of, f"{of}_peak")}
    order = sorted(parts, key=lambda mark: -abs(parts[mark]))
    against = [marks.said[mark] for mark in order if parts[mark] < -0.15][:3]
    strong = [mark for mark, weight in WEIGHTS[name].items() if weight >= 0.8]
    silent = [mark for mark in strong if marks.of(mark) < 0.5]
    # one way of coming about is enough: that another is not in the log speaks against nothing
    if silent and len(silent) == len(strong) and not against:
        against = [f"the log shows nothing of this: {', '.join(NAMED.get(m, m) for m in silent[:2])}"]
    return Cause(
        cause=name, chance=chance, speaks_for=tuple(marks.said[m] for m in order if parts[m] > 0.25)[:3],
        against=tuple(against), test=TESTS[name],
    )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Onset:
    """Since when there is more trouble than before, if there is, and whether that alone asks for a cause."""

    since: datetime | None
    sentence: str
    clear: bool = True


def onset_of(events: Sequence[Event], of: str) -> Onset:
    """Return since when there is more trouble than before, and that in a sentence."""
    if of == "algae":
        return _algae_onset(events)
    if of == "cloudy":
        looks = [(e.time, e.grade) for e in events if isinstance(e, Look) and e.where == "water"]
        seen = [time for time, grade in looks if grade >= 1]
        if not seen:
            return Onset(since=None, sentence="No cloudy water is in the log.")
        return Onset(since=seen[0], sentence="Cloudy water was first noted then.")
    return _reading_onset(events, of)


def _split(rising: Array, least: int) -> tuple[int, float, float]:
    """Return where a series steps up most, by how much, and how much that explains."""
    best, place, step = 0.0, 0, 0.0
    for k in range(least, len(rising) - 1):
        rise = float(rising[k:].mean() - rising[:k].mean())
        gain = rise * abs(rise) * k * (len(rising) - k) / len(rising)
        if gain > best:
            best, place, step = gain, k, rise
    return place, step, best


def _algae_onset(events: Sequence[Event]) -> Onset:
    times = [e.time for e in events if isinstance(e, Scrape) and e.where == "panes"]
    if len(times) < 5:
        said = "Not yet: fewer than five scrapings are logged, so a change cannot be seen."
        return Onset(since=None, sentence=said)
    gaps = np.array([(b - a).total_seconds() / 86400.0 for a, b in pairwise(times)])
    place, step, gain = _split(-np.log(np.maximum(gaps, 0.5)), 2)
    if not place or math.exp(step) < A_LITTLE:
        return Onset(since=None, sentence=NO_CHANGE)
    before, after = float(np.median(gaps[:place])), float(np.median(gaps[place:]))
    said = f"The panes were scraped every {before:.0f} days, then every {after:.0f}."
    return Onset(since=times[place], sentence=said, clear=math.exp(step) >= SHORTER and gain >= 0.25)


def _reading_onset(events: Sequence[Event], of: str) -> Onset:
    name = "KH" if of == "kh" else of
    found = [e for e in events if isinstance(e, Reading) and e.quantity == of]
    if len(found) < 4:
        said = f"Not yet: fewer than four {name} readings are logged; two more, a week apart, would help most."
        return Onset(since=None, sentence=said)
    value = np.array([0.5 * e.value if e.below else e.value for e in found])
    place, _, gain = _split(-value / 0.18 if of == "kh" else np.log(value + 0.03) / 0.35, 2)
    if not place or gain < 3.0:
        return Onset(since=None, sentence=f"The {name} readings stay about as they were: nothing to explain.")
    side = "lower" if of == "kh" else "higher"
    since = found[place].time - timedelta(days=3)
    return Onset(since=since, sentence=f"The {name} readings are {side} since then than before.")
