"""The contract's JSON for scripts: the same answers and names as the command line."""

from __future__ import annotations

from fastapi import APIRouter

router = APIRouter(prefix="/api/v1")
