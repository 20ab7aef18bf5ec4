"""The examples in the docstrings of core.science hold."""

import doctest
import importlib
import pkgutil

import pytest

import core.science

MODULES = [module.name for module in pkgutil.iter_modules(core.science.__path__, "core.science.")]


def test_there_are_modules_to_look_at():
    assert len(MODULES) >= 7


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_hold(name):
    failed, _ = doctest.testmod(importlib.import_module(name))

    assert failed == 0


def test_there_are_examples_to_run():
    assert sum(doctest.testmod(importlib.import_module(name)).attempted for name in MODULES) >= 20
