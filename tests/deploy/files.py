"""What is in deploy/, read without the programs that it is written for."""

import json
import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
DEPLOY = ROOT / "deploy"
UNITS = sorted(path for kind in ("service", "timer") for path in DEPLOY.glob(f"*.{kind}"))
SERVICES = [path for path in UNITS if path.suffix == ".service"]

_ASSIGNMENT = re.compile(r"([A-Z][A-Za-z0-9]*)=(.*)")
_KEY = re.compile(r"([A-Za-z_][\w-]*):(?: (.+))?")


def unit(path):
    """Sections of a systemd unit, each with a list of values for a key: a key may come twice."""
    sections = {}
    current = None
    for line in path.read_text(encoding="utf-8").splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        if line.startswith("["):
            current = sections.setdefault(line.strip("[]"), {})
            continue
        key, value = _ASSIGNMENT.fullmatch(line).groups()
        current.setdefault(key, []).append(value)
    return sections


def variables(path):
    """Names and values in a file of environment variables, those behind a # as well."""
    found = {}
    for line in path.read_text(encoding="utf-8").splitlines():
        named = re.fullmatch(r"#?([A-Z][A-Z_]*)=(.*)", line)
        if named:
            found[named[1]] = named[2]
        elif line and not line.startswith("# "):
            raise ValueError(f"neither a variable nor a comment: {line}")
    return found


def scripts():
    """The commands that the package installs."""
    return set(tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["scripts"])


def yaml(text):
    """Read the little of YAML that we write: blocks of keys and of items, plain scalars, values in JSON."""
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    value, rest = _block([(len(line) - len(line.lstrip(" ")), line.strip()) for line in lines])
    if rest:
        raise ValueError(f"stands too far left: {rest[0][1]}")
    return value


def _block(lines):
    indent, first = lines[0]
    value = [] if first.startswith("- ") else {}
    while lines and lines[0][0] == indent:
        (_, line), *lines = lines
        if isinstance(value, list):
            value.append(_scalar(line.removeprefix("- ")))
            continue
        key, given = _KEY.fullmatch(line).groups()
        if key in value:
            raise ValueError(f"twice: {key}")
        if given is None and lines and lines[0][0] > indent:
            value[key], lines = _block(lines)
        else:
            value[key] = None if given is None else _scalar(given)
    if lines and lines[0][0] > indent:
        raise ValueError(f"stands too far right: {lines[0][1]}")
    return value, lines


def _scalar(text):
    if text[0] in '"[':
        return json.loads(text)
    if text[0] in "&*|>{'!%@`":
        raise ValueError(f"more of YAML than is read here: {text}")
    return {"true": True, "false": False}.get(text, text)
