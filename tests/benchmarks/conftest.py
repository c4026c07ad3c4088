"""After the table of times: what a benchmark noted beside its time, such as the error of its result."""

from __future__ import annotations

from typing import Any


def pytest_terminal_summary(terminalreporter: Any, config: Any) -> None:
    """Times as multiples of the fastest in the group, and the notes."""
    session = getattr(config, "_benchmarksession", None)
    timed = [bench for bench in getattr(session, "benchmarks", []) if bench.stats.data]
    if not timed:
        return
    terminalreporter.section("ratios and notes")
    for group in dict.fromkeys(bench.group for bench in timed):
        rows = sorted((bench for bench in timed if bench.group == group), key=lambda bench: bench.stats.min)
        terminalreporter.write_line(str(group or "others"))
        for bench in rows:
            notes = "; ".join(f"{name} {value}" for name, value in bench.extra_info.items())
            ratio, milliseconds = bench.stats.min / rows[0].stats.min, 1e3 * bench.stats.min
            terminalreporter.write_line(f"  {bench.name:48s}{milliseconds:10.3f} ms {ratio:9.1f} x   {notes}")
