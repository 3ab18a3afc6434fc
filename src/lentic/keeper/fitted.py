"""Fit a tank once and keep the result, so that several questions about one log do not fit it again."""

from __future__ import annotations

import functools
import hashlib
import os
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt

from lentic import LenticError, __version__
from lentic.engine.generate import fingerprint
from lentic.engine.kernel import cache_folder
from lentic.engine.layout import Layout
from lentic.keeper.opening import Opened
from lentic.learn.fit import MEMBERS, Effort, Fit, fit, threads_here
from lentic.logbook.events import Event
from lentic.logbook.log_file import log_text
from lentic.logbook.tank_file import tank_text
from lentic.model.describe import describe
from lentic.model.members import table_for

Array = npt.NDArray[np.float64]
Say = Callable[[str], None]

BOOKS_D = 56.0
LEAST_MEMBERS = 8
KEPT_FITS = 200


class SettingError(LenticError):
    """A setting in the environment cannot be used."""


def effort() -> Effort:
    """Return how hard to try; LENTIC_MEMBERS sets the number of possible versions of the tank."""
    text = os.environ.get("LENTIC_MEMBERS")
    if not text:
        return Effort(members=MEMBERS, threads=threads_here())
    try:
        members = int(text)
    except ValueError:
        raise SettingError(f"LENTIC_MEMBERS is {text!r}; it must be a whole number.") from None
    if members < LEAST_MEMBERS:
        raise SettingError(f"LENTIC_MEMBERS is {members}; it must be at least {LEAST_MEMBERS}.")
    return Effort(members=members, threads=threads_here())


def fitted(opened: Opened, plans: Sequence[Event] = (), books_d: float = BOOKS_D, say: Say | None = None) -> Fit:
    """Return the versions of a tank that agree with its log, from the cache where the same log was fitted before."""
    how = effort()
    path = cache_folder() / "fits" / f"{_key(opened, plans, how)}.npz"
    known = _load(path, how.members)
    if known is not None:
        try:
            return fit(opened.tank, opened.events, plans, opened.end, how, books_d, say, z=known)
        except (ValueError, IndexError, KeyError):
            path.unlink(missing_ok=True)
    found = fit(opened.tank, opened.events, plans, opened.end, how, books_d, say)
    _save(path, found.z)
    return found


def fitted_before(opened: Opened, plans: Sequence[Event] = (), books_d: float = BOOKS_D) -> Fit | None:
    """Return the versions of a tank whose log was fitted before, or None; it never fits."""
    how = effort()
    known = _load(cache_folder() / "fits" / f"{_key(opened, plans, how)}.npz", how.members)
    if known is None:
        return None
    try:
        return fit(opened.tank, opened.events, plans, opened.end, how, books_d, z=known)
    except (ValueError, IndexError, KeyError):
        return None


def _key(opened: Opened, plans: Sequence[Event], how: Effort) -> str:
    """Return a fingerprint of everything a fit depends on; of plans only the foods and plants they add count."""
    begin = opened.events[0].time
    description = describe(opened.tank, [*opened.events, *plans], opened.tank.local_date(begin))
    zone = opened.tank.zone
    parts = (
        __version__, _rules(), fingerprint(Layout(table_for(description))), tank_text(opened.tank),
        log_text(opened.events, (), zone), opened.end.isoformat(), repr(how.members), repr(how.passes),
        repr(how.seed), repr([(slot.code, slot.species) for slot in description.slots]),
        repr(sorted(description.parameters.values(), key=lambda p: p.name)), repr(sorted(description.meals.items())),
    )  # fmt: skip
    return hashlib.sha256("\0".join(parts).encode()).hexdigest()[:40]


@functools.cache
def _rules() -> str:
    """Return a fingerprint of the code that fits, so that no fit outlives a change of the rules."""
    root = Path(__file__).parent.parent
    files = sorted(file for room in ("learn", "model", "engine") for file in (root / room).glob("*.py"))
    return hashlib.sha256(b"\0".join(file.read_bytes() for file in files)).hexdigest()


def _load(path: Path, members: int) -> Array | None:
    """Return a kept fit, or None where there is none or it cannot be read."""
    try:
        with path.open("rb") as file, np.load(file) as kept:
            z = np.asarray(kept["z"], dtype=np.float64)
    except (OSError, ValueError, KeyError, EOFError):
        return None
    except Exception as error:  # a damaged archive raises errors of the zip and zlib modules
        if type(error).__module__ in ("zipfile", "zlib"):
            return None
        raise
    usable = z.ndim == 2 and z.shape[1] == members and bool(np.isfinite(z).all())
    return z if usable else None


def _save(path: Path, z: Array) -> None:
    """Keep a fit; the oldest give way beyond a number. A full disk is no reason to give no answer."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh = path.with_suffix(f".{os.getpid()}.npz")
        np.savez_compressed(fresh, z=z)
        fresh.replace(path)
        kept = sorted(path.parent.glob("*.npz"), key=lambda p: p.stat().st_mtime)
        for old in kept[:-KEPT_FITS]:
            old.unlink(missing_ok=True)
    except OSError:
        return
