"""A store kept open for a face that stays: long answers are worked out elsewhere, and the last ones stay at hand.

`Desk.ask` never waits. It returns the newest answer there is, says whether the log has moved on since, and puts the
question into the queue where it has. `work` is what another process does with that queue.
"""

from __future__ import annotations

import functools
import hashlib
import json
import re
import threading
import time as monotonic
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from importlib import import_module
from pathlib import Path
from typing import Any, Generic, TypeVar

from lentic import LenticError, __version__
from lentic.keeper.answers import Answer
from lentic.keeper.opening import DATABASE, NotYet, Opened, Where, opened_from
from lentic.keeper.packing import packed, unpacked
from lentic.logbook.events import Event, Refused
from lentic.logbook.household import FAILED, Entry, Household, Job
from lentic.logbook.tank import Tank

View = TypeVar("View")
Known = TypeVar("Known")
Clock = Callable[[], datetime]

ASKS: dict[str, str] = {
    "now": "lentic.keeper.doing:now",
    "plan": "lentic.keeper.doing:plan",
    "upkeep": "lentic.keeper.upkeep:plan",
    "balance": "lentic.keeper.answers:balance",
    "forecast": "lentic.keeper.plan_texts:forecast",
    "compare": "lentic.keeper.plan_texts:compare",
    "causes": "lentic.keeper.reasons:causes",
    "air": "lentic.keeper.slow:air",
    "test": "lentic.keeper.next_test:next_test",
    "why": "lentic.keeper.why:why",
    "over_time": "lentic.keeper.over_time:over_time",
    "decide": "lentic.keeper.decide:decide",
    "trial": "lentic.keeper.trials:propose",
    "verdict": "lentic.keeper.trials:verdict",
    "sitter": "lentic.keeper.cards:sitter_asked",
    "explained": "lentic.keeper.cards:tank",
}
"""What can be asked in the background: name -> keeper function `f(where, **arguments, say) -> Answer | NotYet`."""

STOPPED = "You stopped this."
STALE_S = 20.0
"""Work not heard of for so long is taken up by another worker. [s]"""
BEAT_S = 2.0
KEPT = timedelta(days=30)
"""Answers and receipts are kept so long."""
REMEMBERED = 64
_SHARE = re.compile(r"(\d+) %")


@dataclass(frozen=True, kw_only=True)
class Asked(Generic[View]):
    """The newest answer to a question, if there is one, and the work on a newer one, if there is any."""

    name: str
    answer: Answer[View] | NotYet | None
    at: datetime | None
    """When the answer was worked out."""
    fresh: bool
    """Whether the answer rests on the log as it stands."""
    work: Job | None = None
    usual_s: float | None = None
    """How long this took the last time. [s]"""

    @property
    def view(self) -> View | None:
        """The view of the answer, if it has one."""
        return self.answer.view if isinstance(self.answer, Answer) else None

    @property
    def failed(self) -> bool:
        """Whether the work was given up."""
        return self.work is not None and self.work.state == FAILED

    @property
    def busy(self) -> bool:
        """Whether a newer answer is on its way."""
        return self.work is not None and not self.failed

    @property
    def share(self) -> float | None:
        """How far the work is, where it says so. [-]"""
        found = _SHARE.search(self.work.said) if self.work else None
        return min(int(found[1]), 100) / 100.0 if found else None


@dataclass(frozen=True, kw_only=True, eq=False)
class Held:
    """A tank with its whole log, as the store has it at a stamp."""

    tank: Tank
    entries: tuple[Entry, ...]
    stamp: str

    @functools.cached_property
    def events(self) -> tuple[Event, ...]:
        """The events, voids among them, without lines that could not be read."""
        return tuple(entry.event for entry in self.entries if not isinstance(entry.event, Refused))


class Desk:
    """An open store with what was read and worked out of it last; safe to share between threads."""

    def __init__(self, home: Path, clock: Clock) -> None:
        self.home, self.clock = home, clock
        home.mkdir(parents=True, exist_ok=True)
        self.store = Household.open(home / DATABASE)
        self.wake: Callable[[], None] = lambda: None
        """Called when there is new work; the face sets it."""
        self._lock = threading.Lock()
        self._held: dict[str, Held] = {}
        self._once: dict[tuple[str, str], tuple[str, Any]] = {}
        self._answers: OrderedDict[tuple[str, str], tuple[Answer[Any] | NotYet, datetime]] = OrderedDict()

    def close(self) -> None:
        """Let go of the store."""
        self.store.close()

    def tidy(self) -> None:
        """Throw away what can be worked out again and was not asked for long."""
        self.store.tidy(self.now() - KEPT)

    def now(self) -> datetime:
        """Return the moment the face calls now."""
        return self.clock()

    def held(self, name: str) -> Held:
        """Return a tank with its log; it is read again only after something was added."""
        stamp = self.store.stamp(name)
        known = self._held.get(name)
        if known is None or known.stamp != stamp:
            described = self.store.descriptions(name)
            known = Held(tank=described[-1][1], entries=self.store.entries(name), stamp=stamp)
            with self._lock:
                self._held[name] = known
        return known

    def where(self, name: str, clock: datetime | None = None) -> Where:
        """Return how keeper functions are told this tank at this moment."""
        return Where(name=name, clock=clock or self.now(), home=self.home)

    def end_of_day(self, tank: Tank) -> datetime:
        """Return the coming midnight at the tank: answers hold for a day, so that looking twice costs nothing."""
        return tank.utc(tank.local_date(self.now()) + timedelta(days=1), time())

    def opened(self, name: str) -> Opened | NotYet:
        """Return the tank ready for quick questions, as it will stand at the end of today."""
        held = self.held(name)
        end = self.end_of_day(held.tank)
        return self.once(name, "opened", lambda: opened_from(self.where(name, end), held.tank, held.events))

    def once(self, tank: str, what: str, work: Callable[[], Known]) -> Known:
        """Return what follows from a tank's log as it stands today; it is worked out once, here and now."""
        stamp = f"{self.store.stamp(tank)} {self.end_of_day(self.held(tank).tank)}"
        place = (tank, what)
        with self._lock:
            kept = self._once.get(place)
        if kept is None or kept[0] != stamp:
            kept = (stamp, work())
            with self._lock:
                self._once[place] = kept
        found: Known = kept[1]
        return found

    def ask(self, tank: str, ask: str, **arguments: Any) -> Asked[Any]:
        """Return the newest answer to a question without waiting, and have a newer one worked out if need be."""
        held = self.held(tank)
        ready = self.opened(tank)
        if isinstance(ready, NotYet):
            return Asked(name=ask, answer=ready, at=self.now(), fresh=True)
        end = self.end_of_day(held.tank)
        key = key_of(tank, ask, arguments)
        stamp = f"{held.stamp} {end.isoformat()} {rules()}"
        known = self._kept(key)
        if known is not None and known[0] == stamp:
            return Asked(name=ask, answer=known[1], at=known[2], fresh=True)
        self.store.enqueue(key, tank, question_of(ask, arguments, end), stamp, self.now())
        self.wake()
        usual = self.store.settings().get(f"seconds.{ask}")
        return Asked(
            name=ask, answer=known[1] if known else None, at=known[2] if known else None, fresh=False,
            work=self.store.job(key), usual_s=float(usual) if usual else None,
        )  # fmt: skip

    def stop(self, key: str) -> None:
        """End a piece of work; the old answer stays until the log moves on or somebody asks again."""
        self.store.stop(key, STOPPED)

    def again(self, tank: str, ask: str, **arguments: Any) -> None:
        """Try once more what was given up."""
        self.store.drop(key_of(tank, ask, arguments))

    def _kept(self, key: str) -> tuple[str, Answer[Any] | NotYet, datetime] | None:
        data = self.store.cached(key)
        if data is None:
            return None
        stamp, at, rest = data.split(b"\n", 2)
        place = (key, stamp.decode())
        with self._lock:
            known = self._answers.get(place)
        if known is None:
            try:
                known = (unpacked(rest), datetime.fromisoformat(at.decode()))
            except ValueError:
                return None
            with self._lock:
                self._answers[place] = known
                while len(self._answers) > REMEMBERED:
                    self._answers.popitem(last=False)
        return stamp.decode(), *known


def key_of(tank: str, ask: str, arguments: Mapping[str, Any]) -> str:
    """Return under what the answer to a question about a tank is kept."""
    question = json.dumps([tank, ask, arguments], sort_keys=True)
    return "view/" + hashlib.sha256(question.encode()).hexdigest()[:32]


def question_of(ask: str, arguments: Mapping[str, Any], end: datetime) -> str:
    """Return a question as it lies in the queue."""
    return json.dumps({"ask": ask, "arguments": arguments, "end": end.isoformat()}, sort_keys=True)


@functools.cache
def rules() -> str:
    """Return a fingerprint of the code that answers, so that no answer outlives a change of the rules."""
    root = Path(__file__).parent.parent
    rooms = ("science", "engine", "catalogue", "logbook", "model", "learn", "advice", "keeper")
    files = sorted(file for room in rooms for file in (root / room).rglob("*") if file.suffix in (".py", ".toml"))
    content = b"\0".join(file.read_bytes() for file in files)
    return hashlib.sha256(__version__.encode() + content).hexdigest()[:16]


def function_of(ask: str) -> Callable[..., Answer[Any] | NotYet]:
    """Return the keeper function behind a question."""
    if ask not in ASKS:
        raise LenticError(f"Nothing called {ask!r} can be asked. Known are: {', '.join(sorted(ASKS))}.")
    module, _, name = ASKS[ask].partition(":")
    found: Callable[..., Answer[Any] | NotYet] = getattr(import_module(module), name)
    return found


class NotWantedError(LenticError):
    """The work was stopped, or the log has moved on and it is asked anew."""


class Worker:
    """Takes work out of the queue of a store, one piece after the other."""

    def __init__(self, home: Path, name: str, clock: Clock) -> None:
        self.home, self.name, self.clock = home, name, clock
        self.store = Household.open(home / DATABASE)

    def once(self) -> bool:
        """Do one piece of work; False where nothing is waiting."""
        job = self.store.claim(self.name, self.clock())
        if job is None:
            return False
        begun = monotonic.monotonic()
        said = [""]
        done = threading.Event()
        beating = threading.Thread(target=self._beat, args=(job, said, done), daemon=True)
        beating.start()
        try:
            answer = self._answer(job, said)
        except NotWantedError:
            pass
        except LenticError as error:
            self.store.give_up(job.key, self.name, str(error))
        except Exception as error:  # a bug: it is told on the page and in the terminal, and the next work goes on
            self.store.give_up(job.key, self.name, f"Something broke while working: {type(error).__name__}.")
            raise
        else:
            self._keep(job, answer, monotonic.monotonic() - begun)
        finally:
            done.set()
            beating.join()
        return True

    def _answer(self, job: Job, said: list[str]) -> Answer[Any] | NotYet:
        asked = json.loads(job.ask)

        def say(text: str) -> None:
            said[0] = text
            if not self.store.tell(job.key, self.name, text, self.clock()):
                raise NotWantedError(f"Nobody waits for {asked['ask']} as it was asked any more.")

        where = Where(name=job.tank, clock=datetime.fromisoformat(asked["end"]), home=self.home)
        return function_of(asked["ask"])(where, **asked["arguments"], say=say)

    def _beat(self, job: Job, said: Sequence[str], done: threading.Event) -> None:
        while not done.wait(BEAT_S):
            self.store.tell(job.key, self.name, said[0], self.clock())

    def _keep(self, job: Job, answer: Answer[Any] | NotYet, seconds: float) -> None:
        now = self.clock()
        head = f"{job.stamp}\n{now.astimezone(UTC).isoformat()}\n".encode()
        self.store.keep(job.key, head + packed(answer), now)
        self.store.set({f"seconds.{json.loads(job.ask)['ask']}": f"{seconds:.1f}"}, now)
        self.store.finish(job.key, self.name, job.stamp)
