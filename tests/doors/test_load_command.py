"""`manage.py load`: what it prints, how it ends, and that --check keeps nothing."""

from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command

from tests.conftest import FIXTURES
from tests.doors.folders import HARBOUR, everything, harbour_with

BAD = FIXTURES / "bad" / "charters"


@pytest.fixture
def printed(db, now):
    """Runs the command at the tests' hour; gives what it printed and whatever it died of."""

    def run(*args):
        out, err = StringIO(), StringIO()
        died = None
        with time_machine.travel(now, tick=False):
            try:
                call_command("load", *map(str, args), stdout=out, stderr=err, no_color=True)
            except CommandError as error:
                died = error
        return out.getvalue(), err.getvalue(), died

    return run


def test_a_loaded_folder_is_counted_file_by_file(printed):
    out, err, died = printed(HARBOUR)
    lines = out.splitlines()
    assert (lines[0].split(), lines[-1]) == (
        ["bases.csv", "2", "new", "0", "changed", "0", "known"],
        "Loaded.",
    )
    assert len(lines) == len(list(HARBOUR.glob("*.csv"))) + 1
    assert (err, died) == ("", None)


def test_loading_again_says_that_all_of_it_is_known(printed):
    printed(HARBOUR)
    out, _, _ = printed(HARBOUR)
    assert all(line.split()[1:5] == ["0", "new", "0", "changed"] for line in out.splitlines()[:-1])


def test_an_update_counts_what_changed(printed, tmp_path):
    printed(HARBOUR)
    folder = harbour_with(tmp_path / "new", "kinds", ("raft",), {"name": "Raft"})
    out, _, died = printed(folder, "--update")
    (line,) = [line for line in out.splitlines() if line.startswith("kinds.csv")]
    assert (line.split(), died) == (["kinds.csv", "0", "new", "1", "changed", "1", "known"], None)


def test_faults_are_printed_one_a_line_and_the_exit_says_how_many(printed):
    out, err, died = printed(BAD)
    assert err == (BAD / "faults.txt").read_text(encoding="utf-8")
    assert (out, str(died), died.returncode) == ("", "9 faults; nothing was kept", 1)


def test_one_fault_is_one_fault(printed, tmp_path):
    _, err, died = printed(tmp_path / "nowhere")
    assert err == (
        f"{tmp_path / 'nowhere'}: found no folder that can be read (No such file or directory);"
        " wanted a folder of CSV files\n"
    )
    assert str(died) == "1 fault; nothing was kept"


def test_a_file_in_place_of_a_folder_is_refused(printed):
    _, err, died = printed(HARBOUR / "boats.csv")
    assert "found no folder that can be read (Not a directory); wanted a folder of CSV files" in err
    assert died is not None


def test_a_name_that_would_command_the_terminal_is_spelt_out(printed, tmp_path):
    (tmp_path / "a\x1b[2J\nb.csv").write_text("x")
    _, err, _ = printed(tmp_path)
    assert err.startswith(r"a\x1b[2J\nb.csv: found an unknown file")
    assert len(err.splitlines()) == 1


def test_a_file_name_that_is_no_text_at_all_is_printed_too(printed, tmp_path):
    (tmp_path / "\udcff.csv").write_text("x")
    _, err, _ = printed(tmp_path)
    assert err.startswith(r"\udcff.csv: found an unknown file")


def test_check_keeps_nothing_of_a_good_folder(printed):
    before = everything()
    out, _, died = printed(HARBOUR, "--check")
    assert out.splitlines()[-1] == "Checked; nothing was kept."
    assert out.splitlines()[0].split()[:3] == ["bases.csv", "2", "new"]
    assert died is None
    assert everything() == before


def test_check_names_the_faults_that_a_load_would(printed):
    _, err, died = printed(BAD, "--check")
    assert err == (BAD / "faults.txt").read_text(encoding="utf-8")
    assert died is not None


def test_check_with_update_counts_what_would_change_and_changes_nothing(printed, tmp_path):
    printed(HARBOUR)
    before = everything()
    folder = harbour_with(tmp_path / "new", "components", ("imp-2",), {"removed_on": "2026-05-20"})
    out, _, died = printed(folder, "--check", "--update")
    (line,) = [line for line in out.splitlines() if line.startswith("components.csv")]
    assert (line.split()[3:5], died) == (["1", "changed"], None)
    assert everything() == before


def test_a_folder_must_be_named(printed):
    _, _, died = printed()
    assert "the following arguments are required: folder" in str(died)
