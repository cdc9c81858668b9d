"""Disks that are full or closed, odd names and links, no screen, no letters, no patience."""

from __future__ import annotations

import errno
import json
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any
from xml.dom import minidom

import pytest
from matplotlib import get_cachedir

from barmodel import atomic
from barmodel.files import read_bar_file
from barmodel.sheets import letters
from tests.cli.conftest import Bench
from tests.hostile.outcome import call, content

PROGRAM = (sys.executable, "-m", "barmodel_cli")
WRITERS = (
    ("start", "new", "--length", "400", "--width", "60", "--thickness", "22", "--wood", "padauk",
     "--note", "G3"),
    ("cut", "G3", "--at", "200", "--width", "12", "--depth", "0.3"),
    ("hear", "--hz", "566,1481,2708", "--into", "G3"),
    ("log", "G3", "--cancel", "1"),
    ("fit", "G3", "--save"),
    ("design", "G3", "--model", "beam", "--save"),
    ("modes", "G3", "--model", "beam", "--plot", "new.png"),
    ("map", "G3", "--stations", "5", "--csv", "new.csv"),
    ("sheet", "G3", "--out", "new.pdf"),
    ("sheet", "G3", "--out", "new.svg", "--out", "old.csv"),
)  # fmt: skip
"""Every way to write a file."""


@pytest.fixture
def shop(bench: Bench) -> Bench:
    """A folder with a bar that was heard, and a table of long ago."""
    (bench.folder / "G3.bar.json").write_bytes(_heard_bar(bench))
    (bench.folder / "old.csv").write_text("old")
    return bench


_made: list[bytes] = []


def _heard_bar(bench: Bench) -> bytes:
    """A bar file with a reading; made once, for it takes longer than most of what is tried."""
    if not _made:
        bench.start()
        assert bench("hear", "--hz", "566,1481,2708", "--into", "G3").code == 0
        _made.append((bench.folder / "G3.bar.json").read_bytes())
    return _made[0]


def run(folder: Path, *words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run a command in a process of its own."""
    settings = {**os.environ, **environment}
    return subprocess.run(
        [*PROGRAM, *words], cwd=folder, env=settings, capture_output=True, text=True, timeout=60
    )


@pytest.mark.parametrize("words", WRITERS, ids=lambda words: f"{words[0]}{len(words)}")
def test_without_faults_they_write(shop: Bench, words: tuple[str, ...]) -> None:
    before = content(shop.folder)
    result, wrong = call(shop, *words)
    assert (result.code, wrong) == (0, [])
    assert content(shop.folder) != before


@pytest.mark.parametrize(
    ("step", "code"),
    [("open", errno.EROFS), ("fsync", errno.ENOSPC), ("replace", errno.EACCES)],
)
def test_a_full_or_closed_disk_changes_nothing_and_is_told(
    shop: Bench, monkeypatch: pytest.MonkeyPatch, step: str, code: int
) -> None:
    real_open = os.open

    def fails(path: Any, *rest: Any, **named: Any) -> int:
        if step == "open" and not (rest and rest[0] & (os.O_WRONLY | os.O_RDWR)):
            return real_open(path, *rest, **named)
        raise OSError(code, os.strerror(code))

    for words in WRITERS[::2] if step == "fsync" else WRITERS[1::4]:
        with monkeypatch.context() as patched:
            patched.setattr(atomic.os, step, fails)
            result, wrong = call(shop, *words)
        assert not wrong, words
        assert result.code == 3
        assert os.strerror(code).lower() in result.err.lower()


def test_a_disk_with_too_little_room_is_told(shop: Bench) -> None:
    resource = pytest.importorskip("resource")
    before, usual = content(shop.folder), resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (300, usual[1]))
    try:
        results = [shop(*words) for words in (WRITERS[1], WRITERS[6])]
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, usual)
    for result in results:
        assert (result.code, result.out) == (3, "")
        assert "file too large; nothing was changed" in result.told
    assert content(shop.folder) == before


@pytest.mark.parametrize(
    "place",
    ["old.csv/new.png", "none/new.png", ".png", "loop.png", "a" * 300 + ".png", "/proc/a.png"],
)
def test_places_that_cannot_be_are_told(shop: Bench, place: str) -> None:
    (shop.folder / "loop.png").symlink_to("loop.png")
    result, wrong = call(shop, *WRITERS[6][:-1], place)
    assert (result.code, wrong) == (3, [])


def test_a_full_device_behind_the_answer_is_told(shop: Bench) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("no such device here")
    with open("/dev/full", "w") as full:
        done = subprocess.run(
            [*PROGRAM, "log", "G3", "--json"], cwd=shop.folder, stdout=full, stderr=-1, text=True
        )
    assert done.returncode == 3
    assert done.stderr.startswith("error: no space left on device")


def test_nobody_at_the_other_end_is_no_error(shop: Bench) -> None:
    for streams in (">&- 2>&-", "| true"):
        line = f"'{sys.executable}' -m barmodel_cli log G3 {streams}; exit ${{PIPESTATUS[0]}}"
        done = subprocess.run(
            ["/bin/bash", "-c", line], cwd=shop.folder, capture_output=True, text=True
        )
        assert done.returncode == 0, streams
        assert "Traceback" not in done.stderr


@pytest.mark.parametrize("letters_", ["cp1252"])
def test_any_encoding_will_do_and_json_stays_json(shop: Bench, letters_: str) -> None:
    text = (shop.folder / "G3.bar.json").read_text().replace('"G3"', '"木琴"', 1)
    (shop.folder / "木琴.bar.json").write_text(text)
    done = run(shop.folder, "log", "木琴", "--json", PYTHONIOENCODING=letters_)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["name"] == "木琴"
    done = run(shop.folder, "log", "木琴", PYTHONIOENCODING=letters_)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize(
    "name",
    [
        "木琴 3", "caf\u00e9", "cafe\u0301", "بار", "👩\u200d🔧", "a b; $(c) 'd'", "$x_{$", "-3",
        "C:\\bars\\G3", "a" * 190, "木" * 70, "💥" * 55, "a\u202eb", "name.with.dots", "...",
    ],
    ids=range(15),
)  # fmt: skip
def test_a_bar_of_any_name_can_be_worked_on(shop: Bench, name: str) -> None:
    sizes = WRITERS[0][2:]
    assert shop("start", *sizes, "--", name).code == 0
    path = f"./{name}.bar.json"
    assert read_bar_file(path).name == name
    for words in (
        ("cut", path, "--at", "200", "--width", "12", "--depth", "0.3"),
        ("log", path),
    ):
        result, wrong = call(shop, *words)
        assert (result.code, wrong) == (0, []), result.err


@pytest.mark.parametrize("name", ["木بار💥", "$x_{$<&>'\"--"], ids=range(2))
def test_a_picture_may_carry_any_name(shop: Bench, name: str) -> None:
    text = (shop.folder / "G3.bar.json").read_text().replace('"G3"', json.dumps(name), 1)
    (shop.folder / "G3.bar.json").write_text(text)
    assert read_bar_file("G3.bar.json").name == name
    sheet = ("sheet", "G3", "--out", "new.pdf", "--out", "new.svg")
    for words in ((*WRITERS[6][:-1], "new.svg"), sheet):
        result, wrong = call(shop, *words)
        assert (result.code, wrong) == (0, []), result.err
        minidom.parse("new.svg")


@pytest.mark.parametrize("name", ["a\nb", "a\x1b[2J", "a" * 250, "", "/", "\udcff"])
def test_names_that_cannot_be_kept_are_refused(shop: Bench, name: str) -> None:
    result, wrong = call(shop, "start", *WRITERS[0][2:], "--", name)
    assert (result.code, wrong) == (3, [])


def test_a_bar_file_behind_a_link_is_changed_and_the_link_stays(shop: Bench) -> None:
    place = shop.folder / "far" / "bar.json"
    place.parent.mkdir()
    (shop.folder / "G3.bar.json").rename(place)
    link = shop.folder / "G3.bar.json"
    link.symlink_to("far/bar.json")
    for words in (*WRITERS[1:3], *WRITERS[4:6]):
        result, wrong = call(shop, *words)
        assert (result.code, wrong) == (0, [])
    assert link.is_symlink()
    assert len(read_bar_file(place).log) == 3
    assert [path.name for path in place.parent.iterdir()] == ["bar.json"]


def test_a_bar_file_that_is_a_pipe_is_read(shop: Bench) -> None:
    os.mkfifo("pipe")
    whole = (shop.folder / "G3.bar.json").read_bytes()
    writer = threading.Thread(target=(shop.folder / "pipe").write_bytes, args=(whole,), daemon=True)
    writer.start()
    result = shop("log", "pipe", "--json")
    writer.join(timeout=5.0)
    assert result.code == 0
    assert json.loads(result.out)["name"] == "G3"


def test_two_processes_at_once_lose_nothing(shop: Bench) -> None:
    loop = "for i in range(2): call(['cut', 'G3', '--at', '200', '--width', '9', '--depth', '0.1'])"
    code = f"from barmodel_cli.app import call\n{loop}"
    both = [
        subprocess.Popen([sys.executable, "-c", code], cwd=shop.folder, stdout=-3, stderr=-3)
        for _ in range(2)
    ]
    assert [one.wait(timeout=60) for one in both] == [0, 0]
    assert len(read_bar_file(shop.folder / "G3.bar.json").log) == 1 + 4
    assert not [name for name in content(shop.folder) if name.startswith(".")]


@pytest.mark.parametrize("after_s", [0.1, 4.0])  # as it begins; amid its work, loaded by then
def test_stopping_it_leaves_whole_files_and_no_traceback(shop: Bench, after_s: float) -> None:
    before = content(shop.folder)
    long = ("map", "G3", "--depth", "0.3", "--stations", "2000", "--csv", "old.csv")
    work = subprocess.Popen(
        [*PROGRAM, *long],
        cwd=shop.folder,
        stdout=-1,
        stderr=-1,
        text=True,
        start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # whoever runs the tests
    )
    time.sleep(after_s)
    work.send_signal(signal.SIGINT)
    out, err = work.communicate(timeout=30)
    assert out == ""
    assert content(shop.folder) == before
    if after_s > 0.5:  # before that Python itself may not have begun
        assert work.returncode == 130
        assert err.strip() == "stopped; files are as they were after the last finished step"


def test_pictures_need_no_screen_no_home_and_no_settings(shop: Bench) -> None:
    (shop.folder / "matplotlibrc").write_text("text.usetex: True\nfont.family: none such\n")
    without = {"DISPLAY": "", "WAYLAND_DISPLAY": "", "HOME": "/nonexistent"}
    without["MPLCONFIGDIR"] = get_cachedir()  # or its list of letters would be made anew
    words = ("modes", "G3", "--model", "beam", "--plot")
    assert run(shop.folder, *words, "a.png", MPLBACKEND="TkAgg", **without).returncode == 0
    (shop.folder / "matplotlibrc").unlink()
    assert shop(*words, "b.png").code == 0
    assert (shop.folder / "a.png").read_bytes() == (shop.folder / "b.png").read_bytes()


def test_missing_letters_are_told(shop: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(letters, "_path", lambda bold: Path("none/letters.ttf"))
    letters._face.cache_clear()
    letters.glyph_of.cache_clear()
    result, wrong = call(shop, "sheet", "G3", "--out", "new.pdf")
    assert (result.code, wrong) == (3, [])
    assert "letters.ttf" in result.err


def test_no_fonts_at_all_still_give_a_picture(shop: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    from matplotlib import font_manager

    monkeypatch.setattr(font_manager.fontManager, "ttflist", [])
    result, wrong = call(shop, "modes", "G3", "--model", "beam", "--plot", "new.svg")
    assert (result.code, wrong) == (0, []), result.err
