"""Forms of a language's verbs from their stems: `reg~ar` stands for all that its table of endings makes of it.

Not for finding words in a message: a form that stands in no table is no word of the phrasebook.
"""

import re
from typing import Any

ASIDE = frozenset(("apart", "host"))  # groups of forms that are known words, but do not say what the verb's class says
_STEM = re.compile(r"([^\W\d_]+)~([^\W\d_]+)")


def written_out(data: dict[str, Any]) -> dict[str, Any]:
    """Give a phrasebook's data with all forms in the place of each stem.

    The forms of a group of endings are a class of the group's name too: `[inflection.ar] said = "o aste"`.
    """
    tables: dict[str, dict[str, str]] = data.get("inflection", {})
    if not tables:
        return data
    groups: dict[str, dict[str, None]] = {}

    def every_form(found: re.Match[str]) -> str:
        endings = " ".join(tables.get(found[2], {}).values())
        return " ".join(found[1] + ending for ending in endings.split())

    def forms(found: re.Match[str]) -> str:
        stem, table = found[1], tables.get(found[2], {})
        out: list[str] = []
        for group, endings in table.items():
            several = [stem + ending for ending in endings.split()]
            groups.setdefault(group, {}).update(dict.fromkeys(several))
            out.extend(several if group not in ASIDE else ())
        return " ".join(out)

    def each(value: Any) -> Any:  # noqa: ANN401
        if isinstance(value, str):
            return _STEM.sub(forms, value) if "~" in value else value
        if isinstance(value, dict):
            return {key: each(inner) for key, inner in value.items()}
        return [each(inner) for inner in value] if isinstance(value, list) else value

    out: dict[str, Any] = {key: each(value) for key, value in data.items() if key != "common"}
    classes: dict[str, str] = out["classes"]
    out["classes"] = classes | {g: " ".join((classes.get(g, ""), *words)) for g, words in groups.items()}
    return out | {"common": _STEM.sub(every_form, data["common"])}
