"""The formula of a budget, read from text: numbers, names, + - * / ** and a few functions, nothing else."""

from __future__ import annotations

import ast
import math
import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING, Any, NoReturn

from runningfit.core.errors import InvalidInput
from runningfit.core.measurements.uncertainty.taylor import TAYLOR_FUNCTIONS, Taylor

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_FLOAT_FUNCTIONS: Mapping[str, Callable[[float], float]] = {
    name: getattr(math, name) for name in TAYLOR_FUNCTIONS
}
_CONSTANTS = {"pi": math.pi}
_LONGEST_TEXT, _DEEPEST = 2000, 80
_KNOWN = "numbers, the names of the inputs, pi, + - * / ** and " + ", ".join(TAYLOR_FUNCTIONS)


@dataclass(frozen=True, slots=True)
class Expression:
    """A formula that was read, to be worked out at values, along a line, or for many draws at once.

    Parameters
    ----------
    text : str
        The formula as it was typed.
    names : tuple of str
        The inputs that it uses, in the order in which they first stand in it.
    """

    text: str
    names: tuple[str, ...]
    _tree: ast.expr = field(repr=False, compare=False)

    def at(self, values: Mapping[str, float]) -> float:
        """Work the formula out at one value of each input.

        Parameters
        ----------
        values : mapping of str to float
            The value of each input.

        Returns
        -------
        float
            The value of the formula.

        Raises
        ------
        InvalidInput
            It has no finite value there.
        """
        worked = self._worked(values, _FLOAT_FUNCTIONS)
        if not math.isfinite(worked):
            self._refuse(values)
        return float(worked)

    def along(self, values: Mapping[str, float], direction: Mapping[str, float]) -> Taylor:
        """Work the formula out along a line through the values of the inputs.

        Parameters
        ----------
        values : mapping of str to float
            The value of each input.
        direction : mapping of str to float
            The direction of the line; an input that is not named stays where it is.

        Returns
        -------
        Taylor
            The value and its first three derivatives along the line, exact.

        Raises
        ------
        InvalidInput
            It has no finite value or derivative there.
        """
        numbers = {name: Taylor(value, direction.get(name, 0.0)) for name, value in values.items()}
        worked = self._worked(numbers, TAYLOR_FUNCTIONS)
        found = worked if isinstance(worked, Taylor) else Taylor(float(worked))
        if not all(map(math.isfinite, (found.at, found.first, found.second, found.third))):
            self._refuse(values)
        return found

    def many(self, columns: Mapping[str, NDArray[np.float64]]) -> NDArray[np.float64]:
        """Work the formula out for many draws at once.

        Parameters
        ----------
        columns : mapping of str to array of float, shape (draws,)
            The draws of each input.

        Returns
        -------
        array of float, shape (draws,)
            The value for each draw.

        Raises
        ------
        InvalidInput
            It has no finite value for some draw.
        """
        import numpy

        functions = {
            name: getattr(numpy, {"asin": "arcsin", "acos": "arccos", "atan": "arctan"}.get(name, name))
            for name in TAYLOR_FUNCTIONS
        }
        with numpy.errstate(all="ignore"):
            worked = self._worked(columns, functions)
        size = next(iter(columns.values())).shape if columns else (1,)
        found: NDArray[np.float64] = numpy.broadcast_to(numpy.asarray(worked, dtype=float), size)
        if not numpy.isfinite(found).all():
            raise InvalidInput(
                "model",
                needs="a value for all that its inputs can be",
                came=self.text,
                remedy="Some draw of the inputs divides by nothing or takes the root of less than nothing.",
            )
        return found

    def _worked(self, values: Mapping[str, Any], functions: Mapping[str, Callable[[Any], Any]]) -> Any:
        missing = [name for name in self.names if name not in values]
        if missing:
            raise InvalidInput(
                "model", needs=f"a value for {', '.join(missing)}", came=self.text, remedy="Add these inputs."
            )
        try:
            return _walked(self._tree, values, functions)
        except (ArithmeticError, ValueError):
            self._refuse(values)

    def _refuse(self, values: Mapping[str, Any]) -> NoReturn:
        shown = ", ".join(f"{name} = {value}" for name, value in list(values.items())[:6])
        raise InvalidInput(
            "model", needs="a finite value at its inputs", came=self.text, remedy=f"It has none at {shown}."
        )


def _walked(node: ast.expr, values: Mapping[str, Any], functions: Mapping[str, Callable[[Any], Any]]) -> Any:
    """Work out one node; what may stand in the tree was checked when it was read."""
    below = partial(_walked, values=values, functions=functions)
    match node:
        case ast.Constant(value=number):
            return number
        case ast.Name(id=name):
            return values[name] if name in values else _CONSTANTS[name]
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return -below(operand)
        case ast.UnaryOp(operand=operand):
            return below(operand)
        case ast.Call(func=ast.Name(id=name), args=[argument]):
            inner = below(argument)
            # A constant among numbers that carry derivatives stays a constant.
            return (_FLOAT_FUNCTIONS if isinstance(inner, float) else functions)[name](inner)
        case ast.BinOp(left=left, op=op, right=right):
            return _joined(op, below(left), below(right))
        case _:
            raise TypeError(f"{type(node).__name__} was let through by the reader")


def _joined(op: ast.operator, one: Any, two: Any) -> Any:
    match op:
        case ast.Add():
            return one + two
        case ast.Sub():
            return one - two
        case ast.Mult():
            return one * two
        case ast.Div():
            return one / two
        case _:
            power = one**two
            if isinstance(power, complex):
                raise ValueError("a broken power of less than nothing")
            return power


def read_expression(text: str) -> Expression:
    """Read a formula.

    Parameters
    ----------
    text : str
        Such as `ls + d - ls * (alpha * dtheta + dalpha * theta)`.

    Returns
    -------
    Expression
        The formula, with the names of its inputs.

    Raises
    ------
    InvalidInput
        It is no formula, or holds something else than numbers, names, + - * / ** and the known functions.
    """
    if not text.strip() or len(text) > _LONGEST_TEXT:
        raise _refusal(text[:40], f"Write it in 1 to {_LONGEST_TEXT} characters.")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            tree = ast.parse(" ".join(text.split()), mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError) as error:
        raise _refusal(text, "Write it as a formula, such as (a + b) / 2.") from error
    names: dict[str, None] = {}
    checked = _checked(tree, text, names, 0)
    return Expression(text, tuple(names), checked)


def _checked(node: ast.expr, text: str, names: dict[str, None], depth: int) -> ast.expr:
    """Give the tree again, of nothing but what is allowed, its numbers as floats."""
    if depth > _DEEPEST:
        raise _refusal(text[:40], "It is nested too deeply: name its parts as inputs.")
    below = partial(_checked, text=text, names=names, depth=depth + 1)
    match node:
        case ast.Constant(value=bool()):
            raise _refusal(text, "True and False are no numbers.")
        case ast.Constant(value=int() | float() as number) if abs(number) <= 1e300:
            # Floats only: a power of whole numbers could otherwise fill the memory.
            return ast.Constant(float(number))
        case ast.Name(id=name):
            if name not in _CONSTANTS:
                if name in TAYLOR_FUNCTIONS:
                    raise _refusal(text, f"{name} is a function: write what it is of in brackets.")
                names[name] = None
            return node
        case ast.UnaryOp(op=ast.USub() | ast.UAdd() as sign, operand=operand):
            return ast.UnaryOp(sign, below(operand))
        case ast.BinOp(op=ast.Add() | ast.Sub() | ast.Mult() | ast.Div() | ast.Pow() as op):
            return ast.BinOp(below(node.left), op, below(node.right))
        case ast.BinOp(op=ast.BitXor()):
            raise _refusal(text, "Write ** for a power.")
        case ast.Call(func=ast.Name(id=name), args=[argument], keywords=[]) if name in TAYLOR_FUNCTIONS:
            return ast.Call(ast.Name(name), [below(argument)], [])
    part = ast.unparse(node)
    raise _refusal(text, f"'{part[:40]}' is none of these.")


def _refusal(came: str, remedy: str) -> InvalidInput:
    return InvalidInput("model", needs=f"a formula of {_KNOWN}", came=came, remedy=remedy)
