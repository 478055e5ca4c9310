"""The examples in the docstrings hold."""

import doctest
import importlib
import pkgutil

import pytest

import buildlog.materials.takeoff

MODULES = [f"buildlog.materials.takeoff.{m.name}" for m in pkgutil.iter_modules(buildlog.materials.takeoff.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_examples_hold(name):
    flags = doctest.ELLIPSIS
    assert doctest.testmod(importlib.import_module(name), optionflags=flags).failed == 0
