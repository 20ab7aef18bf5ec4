import subprocess
import sys

PROGRAM = """
import os
import sys
from bot.channels import own_output
own_output.prepare(is_own_process={own})
os.write(1, b"noise of a library\\n")
print("café")
sys.stdout.flush()
"""


def printed(own):
    command = [sys.executable, "-c", PROGRAM.format(own=own)]
    return subprocess.run(command, capture_output=True, check=True).stdout.decode()  # noqa: S603


def test_only_our_own_lines_come_out():
    assert printed(own=True) == "café\n"


def test_within_another_program_its_output_is_left_alone():
    assert printed(own=False) == "noise of a library\ncafé\n"
