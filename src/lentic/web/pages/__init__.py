"""The pages: each module has one router; a new page is one import and one entry here."""

from __future__ import annotations

from fastapi import APIRouter

from lentic.web.pages import (
    again,
    animals,
    bring,
    calendar,
    cards,
    check,
    decide,
    devices,
    log,
    lookups,
    number,
    preferences,
    records,
    start,
    tank,
    tanks,
    today,
    upkeep,
    why,
)

PAGES: tuple[APIRouter, ...] = (
    today.router, bring.router, log.router, start.router, tank.router, tanks.router, devices.router,
    preferences.router, why.router, number.router, decide.router, animals.router, lookups.router,
    records.router, check.router, upkeep.router, cards.router, calendar.router, again.router,
)  # fmt: skip
"""Every page, in the order in which addresses are looked up."""
