"""What programs read: each path answers as its own OpenAPI document says, whatever is asked.

schemathesis makes the requests, good and bad, from the document; every answer is checked against
it. The document itself is checked against the OpenAPI 3.1 schema's dialect, JSON Schema 2020-12.
"""

from __future__ import annotations

import json
import os

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from jsonschema import Draft202012Validator
from schemathesis import GenerationMode, checks
from starlette.testclient import TestClient
from tests.desk.conftest import HERE, Marked, desk

from millimark import schemas
from millimark.desk.application import routes
from millimark.desk.openapi import described
from millimark.desk.password import keep_password
from millimark.records.store import Store

EXAMPLES = int(os.environ.get("MILLIMARK_API_EXAMPLES", "20"))
"""Requests of each kind for each path; 400 were tried by hand."""


def test_the_document_describes_every_path_and_no_other(client: TestClient) -> None:
    served = client.get("/api/openapi.json").json()
    assert served == described()
    named = {r.path.replace(":id", "") for r in routes() if r.path.startswith("/api/")}
    assert set(served["paths"]) == named


def test_every_schema_in_the_document_is_one() -> None:
    for found in described()["components"]["schemas"].values():
        Draft202012Validator.check_schema(found)
    text = json.dumps(described())
    assert "#/$defs/" not in text
    for name in ("Error", "Run", "File", "Page", "marks", "answer", "marks_script"):
        assert name in described()["components"]["schemas"]


def test_a_program_reads_print_runs_progress_and_marks(marked: Marked) -> None:
    (run,) = marked.client.get("/api/printings").json()["printings"]
    assert (run["id"], run["title"], run["sheets"], run["class"]) == (1, "Two beacons", 3, "8 Blue")
    assert run["marks_that_wait"] == 1
    told = marked.client.get("/api/printings/1").json()
    assert [f["read"] for f in told["files"]] == [1, 1, 1]
    assert told["not_counting"] == []
    answered = marked.client.get("/api/printings/1/marks")
    assert answered.headers["content-type"] == "application/json"
    Draft202012Validator(schemas.schema("marks")).validate(answered.json())
    assert len(answered.json()["scripts"]) == 3


def test_a_program_asks_what_sentences_mean(client: TestClient) -> None:
    given = "A and B are 8 cm apart."
    ask = "Draw the locus of points that are the same distance from A as from B."
    told = client.get("/api/check", params={"given": given, "ask": ask}).json()
    assert told["given"] == [given]
    assert told["ask"] == [ask]
    (answer,) = client.get("/api/solve", params={"sentence": [given, ask]}).json()["answers"]
    Draft202012Validator(schemas.schema("answer")).validate(answer)
    assert answer["curves"][0]["kind"] == "line"
    wrong = client.get("/api/solve", params={"sentence": [given, ask.replace("from", "form")]})
    assert wrong.status_code == 400
    assert wrong.json()["sentence"][wrong.json()["column"] - 1 :].startswith("form")
    assert client.get("/api/solve", params={"sentence": given}).json()["message"].startswith("Noth")


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/api/printings/99", 404), ("/api/printings/x", 404), ("/api/nothing", 404),
        ("/api/solve", 400), ("/api/check?ask=" + "x" * 401, 400), ("/api/check?ask=%00", 400),
        ("/api/solve?" + "sentence=A&" * 21, 400), ("/api/printings/99/marks", 404),
    ],
)  # fmt: skip
def test_what_is_wrong_is_told_as_json(client: TestClient, path: str, status: int) -> None:
    answered = client.get(path)
    assert answered.status_code == status
    assert set(answered.json()) >= {"message", "hint"}


def test_a_program_signs_in_where_the_desk_has_a_password(store: Store) -> None:
    keep_password(store.folder, "seven quiet herons")
    with desk(store, beyond=True) as client:
        for path in described()["paths"]:
            refused = client.get(path.replace("{run}", "1"), follow_redirects=False)
            assert refused.status_code == 401, path
            assert "password" in refused.json()["message"]
        client.post("/sign-in", data={"name": "P", "password": "seven quiet herons"})
        assert client.get("/api/printings").status_code == 200


# --- whatever is asked ------------------------------------------------------------------------
LOCAL = {"host": HERE.removeprefix("http://"), "origin": HERE}
CHECKS = [
    checks.not_a_server_error, checks.status_code_conformance, checks.content_type_conformance,
    checks.response_schema_conformance, checks.negative_data_rejection, checks.unsupported_method,
]  # fmt: skip
"""Not that good data is taken: any text may be sent as a sentence, and little of it is English."""


@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE])
@pytest.mark.parametrize("path", sorted(described()["paths"]))
def test_no_request_finds_a_server_error(marked: Marked, path: str, mode: GenerationMode) -> None:
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", marked.client.app, headers=LOCAL)
    operation = schema[path]["GET"]
    if mode is GenerationMode.NEGATIVE and not described()["paths"][path]["get"]["parameters"]:
        return  # nothing can be wrong about a path alone

    @given(operation.as_strategy(generation_mode=mode))
    @settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
    def asked(case: schemathesis.Case) -> None:
        case.validate_response(case.call(headers=LOCAL), checks=CHECKS)

    asked()


def test_a_server_error_would_be_found(marked: Marked, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> bytes:
        return b'{"format": "something else"}'

    monkeypatch.setattr("millimark.records.exports.as_json", broken)
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", marked.client.app, headers=LOCAL)
    case = schema["/api/printings/{run}/marks"]["GET"].Case(path_parameters={"run": 1})
    with pytest.raises(schemathesis.core.failures.FailureGroup):
        case.validate_response(case.call(headers=LOCAL), checks=CHECKS)
