"""What can be wrong with an event."""

from core.farm.faults import Fault, Finding


def test_a_finding_names_its_fault_alone_where_there_is_no_more_to_say():
    found = Finding(fault=Fault.NO_FIGURE)

    assert (found.subject, found.word, found.figure, found.at) == (None, None, None, None)


def test_no_two_faults_go_by_the_same_word():
    assert len({fault.value for fault in Fault}) == len(list(Fault))
