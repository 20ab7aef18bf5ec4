"""The words that records choose from are those of the message schema."""

from core.journal.kinds import Chore, Density, HatchStage, MoldLevel, Setting, Trouble


def test_chores_are_named_as_messages_name_them():
    assert {c.value for c in Chore} >= {"tray_in", "pull_tray", "water", "mold_check", "hatch_check", "feed"}


def test_words_of_degree_are_those_of_the_schema():
    assert [d.value for d in Density] == ["none", "few", "some", "many"]
    assert [m.value for m in MoldLevel] == ["trace", "some", "heavy"]
    assert [s.value for s in HatchStage] == ["started", "done"]


def test_there_is_a_word_for_any_other_trouble_and_for_each_setting():
    assert "other" in set(Trouble)
    assert {"units", "timezone", "water_times", "quiet_hours", "lay_hours", "language"} <= set(Setting)
