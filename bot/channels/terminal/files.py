"""A file that came with a message, kept on this machine for its owner alone."""

import itertools
import os
import re
from pathlib import Path

from bot.ports.messages import Attachment

_OWNER_ALONE = 0o600
_UNFIT = re.compile(r"[^A-Za-z0-9.-]")


def keep(file: Attachment, folder: Path) -> Path:
    """Write a file into a folder, under another name where there is one of that name, and give its path."""
    name = _UNFIT.sub("-", file.name).lstrip(".") or "file"
    for number in itertools.count(1):
        path = folder / (name if number == 1 else f"{Path(name).stem}-{number}{Path(name).suffix}")
        try:
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, _OWNER_ALONE)
        except FileExistsError:
            continue
        with open(handle, "wb") as out:
            out.write(file.content)
        return path
    raise AssertionError("unreachable")
