"""The API: the JSON of the command line, of the described shape, and no request that breaks it."""

from __future__ import annotations

import json
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from pydantic import BaseModel

from lentic.cli.main import cli
from lentic.web import api_models as m

LOFT = Path(__file__).parents[2] / "examples" / "loft-tank"
ANSWERS: dict[str, type[BaseModel]] = {
    "now": m.NowAnswer, "balance": m.BalanceAnswer, "forecast?days=14": m.ForecastAnswer, "causes": m.CausesAnswer,
    "plan": m.PlanAnswer, "check": m.CheckAnswer, "upkeep": m.UpkeepAnswer, "log": m.LogAnswer, "tanks": m.TankNames,
    "number?of=flow.N.food.8": m.NumberAnswer,
}  # fmt: skip


@pytest.fixture(scope="module")
def api(loft: Any, tmp_path_factory: pytest.TempPathFactory, clients: Any) -> Any:
    kept = loft.copy(tmp_path_factory.mktemp("api") / "home")
    with clients(kept.app()) as client:
        for question in ANSWERS:
            client.get(f"/api/v1/{question}")
        kept.work()
        yield client


@pytest.mark.parametrize("question", ANSWERS)
def test_every_answer_has_the_described_shape(api: Any, question: str) -> None:
    answer = api.get(f"/api/v1/{question}")
    assert answer.status_code == 200, answer.text
    ANSWERS[question].model_validate(answer.json())


def test_the_answers_are_those_of_the_command_line(api: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = api.app.state.desk
    monkeypatch.setenv("LENTIC_HOME", str(desk.home))
    end = desk.end_of_day(desk.held(desk.store.tanks()[0]).tank).isoformat()
    for command in (["now"], ["balance"], ["causes"]):
        told = CliRunner().invoke(cli, [*command, desk.store.tanks()[0], "--now", end, "--quiet", "--json", "-"])
        assert json.loads(told.stdout) == api.get(f"/api/v1/{command[0]}").json()


def test_what_has_to_be_worked_out_says_so(api: Any) -> None:
    answer = api.get("/api/v1/forecast", params={"days": 3})
    assert answer.status_code == 202
    m.UnderWay.model_validate(answer.json())
    assert answer.headers["retry-after"] == "2"


def test_plans_are_compared(api: Any, loft: Any) -> None:
    plan = (LOFT / "plan.csv").read_text(encoding="utf-8")
    body = {"plans": [plan], "days": 7}
    assert api.post("/api/v1/compare", json=body).status_code == 202
    type(loft)(home=api.app.state.desk.home, clock=loft.clock, tank=loft.tank).work()
    found = api.post("/api/v1/compare", json=body)
    m.ComparisonAnswer.model_validate(found.json())
    assert found.json()["plans"] == ["going on as before", "plan 1"]


def test_an_empty_tank_says_what_would_help(empty: Any, clients: Callable[..., Any]) -> None:
    with clients(empty.app()) as client:
        answer = client.get("/api/v1/balance")
    assert answer.status_code == 200
    assert m.NotYetAnswer.model_validate(answer.json()).wanted


def test_no_tank_and_another_tank_are_told(api: Any, nobody: Any, clients: Callable[..., Any]) -> None:
    assert api.get("/api/v1/now", params={"tank": "Elsewhere"}).status_code == 404
    with clients(nobody.app()) as client:
        assert client.get("/api/v1/now").status_code == 404


def test_a_line_sent_twice_under_a_receipt_stands_once(api: Any) -> None:
    body = {"text": "fed 1.1 pellet_adult; blorp 3", "receipt": "from the phone 1"}
    first, second = (api.post("/api/v1/log", json=body) for _ in range(2))
    assert m.Written.model_validate(first.json()).added == ["Fed 1.1 g adult pellet"]
    assert not first.json()["twice"]
    assert second.json()["twice"]
    lines = api.get("/api/v1/log").json()["lines"]
    found = [line for line in lines if line["kind"] == "feed" and line["amount"] == "1.1"]
    assert len(found) == 1
    assert api.post(f"/api/v1/log/{found[0]['id']}/void").status_code == 200
    lines = api.get("/api/v1/log", params={"after": found[0]["id"] - 1}).json()["lines"]
    assert not lines[0]["standing"]
    assert lines[1]["kind"] == "void"


def test_the_openapi_loads_nothing_from_elsewhere(api: Any) -> None:
    described = api.get("/api/v1/openapi.json").json()
    assert "/api/v1/balance" in described["paths"]
    assert all(path.startswith("/api/v1/") for path in described["paths"])
    for page in ("/docs", "/redoc"):
        assert api.get(page).status_code == 404


def test_no_request_breaks_the_api(api: Any) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import schemathesis
        from hypothesis import HealthCheck, Phase, given, settings
        from schemathesis.core.result import Ok

    schema = schemathesis.openapi.from_dict(api.get("/api/v1/openapi.json").json())
    tried: set[str] = set()
    quick = settings(
        max_examples=12, deadline=None, database=None, derandomize=True, phases=(Phase.explicit, Phase.generate),
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip

    def send(case: Any) -> None:
        tried.add(f"{case.method} {case.path}")
        kwargs = case.as_transport_kwargs(base_url="http://127.0.0.1:8420")
        known = ("method", "url", "params", "json", "data", "headers")
        sent = {key: value for key, value in kwargs.items() if key in known}
        answer = api.request(**sent | {"headers": {**dict(sent.get("headers") or {}), "host": "127.0.0.1:8420"}})
        assert answer.status_code < 500 or answer.status_code == 503, f"{case.method} {case.path}: {answer.text[:300]}"
        assert "Traceback" not in answer.text

    for found in schema.get_all_operations():
        assert isinstance(found, Ok)
        quick(given(case=found.ok().as_strategy())(send))()
    assert len(tried) >= 12
