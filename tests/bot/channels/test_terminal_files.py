"""A file that came with a message."""

import pytest

from bot.channels.terminal.chat import TerminalChat
from bot.channels.terminal.files import keep
from bot.ports.messages import Attachment, Outgoing
from tests.fakes import FakeClock

FILE = Attachment(name="farm-records.csv", text="a,é\r\n")


def test_a_file_is_for_its_owner_alone(tmp_path):
    path = keep(FILE, tmp_path)

    assert path == tmp_path / "farm-records.csv"
    assert path.read_bytes() == b"\xef\xbb\xbf" + FILE.text.encode()
    assert path.stat().st_mode & 0o777 == 0o600


def test_a_file_that_is_there_is_never_written_over(tmp_path):
    paths = [keep(FILE, tmp_path) for _ in range(3)]

    assert [path.name for path in paths] == ["farm-records.csv", "farm-records-2.csv", "farm-records-3.csv"]


@pytest.mark.parametrize("name", ["../../up.csv", "/etc/x.csv", ".hidden", "a\nb", "", ".."])
def test_no_name_leads_out_of_the_folder(tmp_path, name):
    folder = tmp_path / "in"
    folder.mkdir()

    assert keep(Attachment(name=name, text=""), folder).parent == folder
    assert [path.name for path in tmp_path.iterdir()] == ["in"]


@pytest.fixture
def shown(tmp_path, monkeypatch, capsys):
    """Send a message with a file to a terminal in a folder of its own; give what is shown."""

    async def send(folder):
        monkeypatch.chdir(folder)
        chat = TerminalChat("Noor", FakeClock())
        await chat.send(Outgoing(key="k", chat="terminal:noor", text="Your records.", file=FILE))
        return " ".join(capsys.readouterr().out.split())

    return send


async def test_the_terminal_says_where_the_file_is(shown, tmp_path):
    said = await shown(tmp_path)

    assert said.startswith("Your records. The file is here:")
    assert (tmp_path / FILE.name).exists()


async def test_the_terminal_says_that_a_file_could_not_be_written(shown, tmp_path, monkeypatch):
    def refuse(_file, _folder):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("bot.channels.terminal.chat.keep", refuse)

    assert "could not be written here: Permission denied." in await shown(tmp_path)
