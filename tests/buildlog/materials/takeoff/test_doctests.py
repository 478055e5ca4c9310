"""The examples in the docstrings hold."""

import doctest
import importlib
import pkgutil

import pytest

from buildlog.materials import takeoff

MODULES = [f"{takeoff.__name__}.{m.name}" for m in pkgutil.iter_modules(takeoff.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_examples_hold(name):
    flags = doctest.ELLIPSIS
    assert doctest.testmod(importlib.import_module(name), optionflags=flags).failed == 0
