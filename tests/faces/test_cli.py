"""The command line: what it prints, its exit codes, and one clear sentence for whatever goes wrong."""

from __future__ import annotations

import errno
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from anchorsim.cli import main

SHARED = sorted((Path(__file__).parents[2] / "shared").glob("*.toml"))
GALE = '[tackle]\nscope = 6\n[weather]\nmean_wind = "30 knot"\n'

NEWTONS_IN_A_POUND_FORCE = 4.4482216152605  # NIST SP 811 (2008), appendix B.8: lbf to N, 4.448 222 E+00


@pytest.fixture
def scenario(tmp_path: Path) -> Path:
    path = tmp_path / "gale.toml"
    path.write_text(f'format = 1\ntitle = "A gale"\n{GALE}', encoding="utf-8")
    return path


def refusal(capsys: pytest.CaptureFixture[str], *arguments: str | Path) -> str:
    """What is said on standard error by a command that must end with exit code 2 and print nothing else."""
    assert main([str(argument) for argument in arguments]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    return err.strip()


def printed(capsys: pytest.CaptureFixture[str], *arguments: str | Path) -> str:
    assert main([str(argument) for argument in arguments]) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


def figure(text: str, label: str, unit: str) -> float:
    found = re.search(rf"^  {label} +([\d.]+) ?{unit} ", text, re.M)
    assert found, text
    return float(found[1])


def test_the_shared_scenarios_are_sound(capsys: pytest.CaptureFixture[str]) -> None:
    assert SHARED
    assert printed(capsys, "check", *SHARED).splitlines() == [f"{path}: no errors found" for path in SHARED]


def test_check_tells_of_each_file_and_ends_with_2_if_one_is_wrong(
    scenario: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = scenario.with_name("bad.toml")
    bad.write_text("format = 1\n[tackle]\nscope = 0\n", encoding="utf-8")
    assert main(["check", str(bad), str(scenario)]) == 2
    out, err = capsys.readouterr()
    assert out == f"{scenario}: no errors found\n"
    assert err.startswith(f"anchorsim: {bad}: tackle.scope (Scope): 0 is out of range")


@pytest.mark.parametrize("command", ["check", "run", "open", "survey"])
def test_a_file_that_is_not_there(command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "nowhere.toml"
    sentence = refusal(capsys, command, path)
    assert sentence.startswith(f"anchorsim: {path}: could not be read")
    assert "no such file or directory" in sentence.lower()
    assert "\n" not in sentence


def test_a_file_name_alone_means_open(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "nowhere.toml: could not be read" in refusal(capsys, tmp_path / "nowhere.toml")


def test_a_folder_in_place_of_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "is a directory" in refusal(capsys, "run", tmp_path).lower()


def test_a_file_that_may_not_be_read(
    scenario: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = os.open

    def refuse(path: Any, *how: Any, **named: Any) -> int:
        if path == scenario:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
        return opened(path, *how, **named)

    monkeypatch.setattr(os, "open", refuse)  # root, as which tests may run, is allowed to read every file
    sentence = refusal(capsys, "run", scenario)
    assert sentence.startswith(f"anchorsim: {scenario}: could not be read")
    assert "permission denied" in sentence.lower()


def test_a_file_that_is_not_utf_8(scenario: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scenario.write_bytes('title = "Größe"'.encode("latin-1"))
    assert refusal(capsys, "check", scenario).startswith(f"anchorsim: {scenario}: not text in UTF-8")


def test_broken_toml_is_told_with_its_line(scenario: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scenario.write_text('title = "A gale"\n[tackle\n', encoding="utf-8")
    sentence = refusal(capsys, "check", scenario)
    assert sentence.startswith(f"anchorsim: {scenario}, line 2: the heading is not closed in [tackle")


def test_every_wrong_field_has_a_line_with_the_file_and_the_path(
    scenario: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    scenario.write_text('format = 1\n[weather]\nmean_wind = 30\n[spot]\ndepht = "6 m"\n', encoding="utf-8")
    lines = refusal(capsys, "check", scenario).removeprefix("anchorsim: ").splitlines()
    assert sorted(line.split(":")[1].split()[0] for line in lines) == ["spot.depht", "weather.mean_wind"]
    assert all(line.startswith(f"{scenario}: ") for line in lines)


def test_run_prints_the_verdict_the_figures_and_the_cautions(
    scenario: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = printed(capsys, "run", scenario)
    assert text.startswith("A gale\n")
    for label in ("Peak load at the bow", "Peak uplift at the anchor", "Swinging radius"):
        assert f"  {label}" in text
    assert "NOTICE Makers' instructions, local rules, the surveyor and your own judgement" in " ".join(
        text.split()
    )


def test_us_units_are_the_same_figures(scenario: Path, capsys: pytest.CaptureFixture[str]) -> None:
    metric, us = printed(capsys, "run", scenario), printed(capsys, "run", scenario, "--us")
    newtons = figure(metric, "Peak load at the bow", "kN") * 1000
    pounds = figure(us, "Peak load at the bow", "lbf")
    assert pounds * NEWTONS_IN_A_POUND_FORCE == pytest.approx(
        newtons, rel=0.01
    )  # both are rounded to three digits
    feet = figure(us, "Swinging radius", "ft")
    assert feet * 0.3048 == pytest.approx(figure(metric, "Swinging radius", "m"), rel=0.01)  # NIST SP 811
    assert not re.search(r"\d (kN|m|kg)\b", us)


def test_a_stronger_wind_pulls_harder(scenario: Path, capsys: pytest.CaptureFixture[str]) -> None:
    label = "Peak load at the bow"
    calm, gale = (
        figure(printed(capsys, "run", scenario, "--set", f"weather.mean_wind={wind} knot"), label, "kN")
        for wind in (12, 36)
    )
    assert gale > 4 * calm  # drag goes with the square of the wind, which alone makes it nine times


def test_set_reads_numbers_texts_and_quoted_texts(scenario: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plain = printed(
        capsys, "run", scenario, "--seed", "3", "--set", "spot.depth=7 m", "--set", "tackle.scope=5"
    )
    quoted = printed(
        capsys, "run", scenario, "--seed", "3", "--set", 'spot.depth = "7 m"', "--set", "tackle.scope = 5.0"
    )
    assert plain == quoted


def test_the_same_seed_gives_the_same_watch_and_another_seed_another(
    scenario: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first, again, other = (printed(capsys, "run", scenario, "--seed", seed) for seed in ("3", "3", "4"))
    assert first == again
    assert first != other


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ("tackle.scop=7", "tackle.scop: unknown path"),
        ("tackle.scop=7", "did you mean tackle.scope?"),
        ("tackle.scope=0", "tackle.scope (Scope): 0 is out of range"),
        ("spot.depth=8", "spot.depth (Charted depth): 8 has no unit"),
        ("spot.depth=8 kN", 'spot.depth (Charted depth): "8 kN" is a force'),
        (
            "tackle.scope",
            "--set tackle.scope: incomplete. Expected PATH=VALUE, for example --set tackle.scope=7.",
        ),
        ("=7", "--set =7: incomplete. Expected PATH=VALUE"),
        ("spot.depth=", "--set spot.depth=: incomplete. Expected PATH=VALUE"),
    ],
)
def test_a_change_that_cannot_be(
    change: str, sentence: str, scenario: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert sentence in refusal(capsys, "run", scenario, "--set", change)


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["run"], "required: FILE"),
        (["run", "a.toml", "--seed", "-1"], "-1: expected a whole number, 0 or more"),
        (["open", "--port", "many"], "invalid int value: 'many'"),
        (["check"], "required: FILE"),
    ],
)
def test_wrong_arguments(arguments: list[str], sentence: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit, match="2"):
        main(arguments)
    assert sentence in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [["--version"], ["--help"], ["run", "--help"]])
def test_it_tells_of_itself(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit, match="0"):
        main(arguments)
    assert "anchorsim" in capsys.readouterr().out


@pytest.mark.parametrize("module", ["anchorsim", "anchorsim.cli"])
def test_a_mistake_shows_no_traceback(tmp_path: Path, module: str) -> None:
    found = subprocess.run(
        [sys.executable, "-m", module, "run", "nowhere.toml"],
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert found.returncode == 2
    assert found.stderr.count("\n") == 1
    assert "Traceback" not in found.stderr
