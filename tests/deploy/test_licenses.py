"""The licenses of what is shipped, as the metadata of the installed packages say them."""

import importlib.metadata
import re

from tests.deploy import files

NAMED = re.compile(r"^([a-z0-9-]+)==", re.MULTILINE)
SHIPPED = sorted(set(NAMED.findall((files.DEPLOY / "requirements/run.txt").read_text(encoding="utf-8"))))
COPYLEFT = re.compile(r"\bA?L?GPL|\bMPL|\bEPL|\bEUPL|General Public|Mozilla|ODbL|-SA\b|-NC\b", re.IGNORECASE)
FREE = re.compile(r"\bMIT\b|BSD|Apache|PSF|Python Software Foundation|Zlib|CC0", re.IGNORECASE)
LESSER = {"psycopg", "psycopg-binary", "python-telegram-bot"}
PER_FILE = {"certifi"}
LONGEST_NAME = 100  # more is a license's whole text, which names others


def said(name):
    about = importlib.metadata.metadata(name)
    of_text = [about.get("License-Expression"), about.get("License")]
    classified = [line for line in about.get_all("Classifier") or [] if line.startswith("License ::")]
    return " | ".join(text for text in (*of_text, *classified) if text and len(text) <= LONGEST_NAME)


def test_what_is_shipped_is_found():
    assert len(SHIPPED) > len(LESSER) + len(PER_FILE)


def test_all_that_is_shipped_says_its_license():
    assert [name for name in SHIPPED if not said(name)] == []


def test_only_the_libraries_that_we_know_of_ask_to_stay_free():
    assert {name for name in SHIPPED if COPYLEFT.search(said(name))} == LESSER | PER_FILE
    assert all("LGPL-3.0" in said(name) for name in LESSER)
    assert all("MPL-2.0" in said(name) for name in PER_FILE)


def test_all_others_ask_for_their_name_at_most():
    assert [name for name in set(SHIPPED) - LESSER - PER_FILE if not FREE.search(said(name))] == []
