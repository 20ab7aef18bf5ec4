"""How the tests read what is in deploy/."""

import pytest

from tests.deploy import files


def test_a_unit_keeps_what_is_said_twice(tmp_path):
    path = tmp_path / "some.service"
    path.write_text("# why\n[Service]\nUser=farm\nSystemCallFilter=@a\nSystemCallFilter=~@b\n")

    assert files.unit(path) == {"Service": {"User": ["farm"], "SystemCallFilter": ["@a", "~@b"]}}


def test_a_line_that_is_no_variable_is_not_passed_over(tmp_path):
    path = tmp_path / "env"
    path.write_text("# why\nONE=1\n#TWO=2\n")
    assert files.variables(path) == {"ONE": "1", "TWO": "2"}

    path.write_text("export ONE=1\n")
    with pytest.raises(ValueError, match="export ONE=1"):
        files.variables(path)


def test_yaml_of_our_kind_is_read():
    text = 'a:\n  # why\n  b: 1\n  c: ["x", "y"]\n  d:\n    - k=v\n    - "80:80"\n  e:\nf: true\n'

    assert files.yaml(text) == {"a": {"b": "1", "c": ["x", "y"], "d": ["k=v", "80:80"], "e": None}, "f": True}


@pytest.mark.parametrize("text", ["a: &anchor", "a: |", "a: 1\na: 2", "  a: 1\nb: 2", "a: 1\n  b: 2", "a: {b: 1}"])
def test_yaml_of_another_kind_is_refused(text):
    with pytest.raises(ValueError, match=r"."):
        files.yaml(text)
