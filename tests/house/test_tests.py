"""Every test asserts something, none is passed over, and none accepts just any failure."""

from __future__ import annotations

import ast

from house.tree import ROOT, Function, Module, modules

TESTS = ROOT / "tests"
ASSERTING_CALLS = {
    "raises", "warns", "deprecated_call", "fail", "expect", "look_at_each", "no_serious_faults",
}  # fmt: skip
PASSING_OVER = {"skip", "skipif", "xfail", "importorskip", "expectedFailure", "skipTest"}


def called_name(call: ast.Call) -> str:
    return call.func.attr if isinstance(call.func, ast.Attribute) else ast.unparse(call.func)


def asserting_functions(module: Module) -> set[str]:
    """The module's functions that assert, themselves or through another function of the module."""
    functions = {node.name: node for node in ast.walk(module.tree) if isinstance(node, Function)}
    asserting: set[str] = set()
    before = -1
    while before != len(asserting):
        before = len(asserting)
        asserting |= {name for name, node in functions.items() if asserts(node, asserting)}
    return asserting


def asserts(function: Function, asserting: set[str]) -> bool:
    for node in ast.walk(function):
        if isinstance(node, ast.Assert):
            return True
        if isinstance(node, ast.Call):
            name = called_name(node)
            if (
                name in ASSERTING_CALLS
                or name in asserting
                or name.startswith(("assert_", "django_assert_", "run_state_machine"))
            ):
                return True
    return False


def test_every_test_asserts_something() -> None:
    offenders = [
        f"{module.where}:{node.lineno} {node.name}"
        for module in modules(TESTS)
        for asserting in [asserting_functions(module)]
        for node in ast.walk(module.tree)
        if isinstance(node, Function) and node.name.startswith("test_") and node.name not in asserting
    ]
    assert not offenders, "These can not fail:\n" + "\n".join(offenders)


def test_no_test_is_passed_over() -> None:
    offenders = [
        f"{module.where}:{node.lineno} {ast.unparse(node)}"
        for module in modules(TESTS)
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Attribute) and node.attr in PASSING_OVER
    ]
    assert not offenders, "A test runs or is not there:\n" + "\n".join(offenders)


def test_no_test_accepts_just_any_failure() -> None:
    offenders = [
        f"{module.where}:{node.lineno} {ast.unparse(node)}"
        for module in modules(TESTS)
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Call) and called_name(node) == "raises"
        if not any(keyword.arg == "match" for keyword in node.keywords)
        or {ast.unparse(argument) for argument in node.args} & {"Exception", "BaseException"}
    ]
    assert not offenders, "Match the type and the text:\n" + "\n".join(offenders)
