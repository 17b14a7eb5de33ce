"""What every test run shares: threads per worker, skips that count as failures on demand, figures.

A test that measures hands its figures to `record_property`; they are printed at the end, passed or
failed, from every worker.

A run's preview is a second process that solves nine bars, so `barwright run` has none within the
tests' own process; a test that is of it asks for `with_preview`. In processes of their own it is
`--no-live` that spares it.
"""

import os
from collections.abc import Callable, Generator, Iterator
from contextlib import nullcontext
from typing import Any

import pytest
from hypothesis import settings

# a busy machine is no fault of the code: what takes long belongs in tests/benchmarks
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

if "PYTEST_XDIST_WORKER" in os.environ:
    # workers share the cores already; threads on top of them only fight (read at numpy's import)
    for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(variable, "1")

NO_SKIPS = os.environ.get("BARWRIGHT_NO_SKIPS", "")
"""Where skips are failures: `1` everywhere, or a folder such as `tests/browser`; else nowhere."""


PREVIEWED = "studies.commands.computing.previewed"


@pytest.fixture(scope="session", autouse=True)
def no_preview() -> Iterator[Callable[..., Any]]:
    """Let `barwright run` compute no other walls; yield what does."""
    from studies.commands.computing import previewed

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(PREVIEWED, lambda *_: nullcontext(lambda: None))
        yield previewed


@pytest.fixture
def with_preview(no_preview: Callable[..., Any], monkeypatch: pytest.MonkeyPatch) -> None:
    """Let `barwright run` compute other walls in this test."""
    monkeypatch.setattr(PREVIEWED, no_preview)


def _must_run(node: str) -> bool:
    return NO_SKIPS not in ("", "0") and (NO_SKIPS == "1" or node.startswith(NO_SKIPS))


def _refuse_skip(report: pytest.TestReport | pytest.CollectReport) -> None:
    if report.skipped and _must_run(report.nodeid) and not hasattr(report, "wasxfail"):
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr
        report.outcome = "failed"
        report.longrepr = f"skipped, which BARWRIGHT_NO_SKIPS counts as a failure: {reason}"


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Turn the skip of a test into a failure where BARWRIGHT_NO_SKIPS is set."""
    report = yield
    _refuse_skip(report)
    return report


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    """Turn the skip of a whole file into a failure where BARWRIGHT_NO_SKIPS is set."""
    report = yield
    _refuse_skip(report)
    return report


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print what the tests measured."""
    reports = [
        report
        for outcome in ("passed", "failed")
        for report in terminalreporter.getreports(outcome)
        if report.when == "call" and report.user_properties
    ]
    if reports:
        terminalreporter.section("measured")
    for report in reports:
        terminalreporter.write_line(report.nodeid)
        for name, figure in report.user_properties:
            terminalreporter.write_line(f"    {name}: {figure}")
