"""A command run to its end in a process of its own, with the time and memory that it and its workers took."""

import os
import resource
import subprocess
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Usage:
    """What a command printed and cost: wall and processor seconds, peak memory of any one process."""

    output: str
    wall_s: float
    processor_s: float
    peak_mb: float


def measured(command: Sequence[str], *, environment: Mapping[str, str]) -> Usage:
    """Run a command; the processes it waited for count too. A failure stops the benchmark."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    with subprocess.Popen(
        command,
        env={**os.environ, **environment},
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as process:
        assert process.stdout is not None
        output = process.stdout.read()
        _, status, own = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    wall_s = time.perf_counter() - start
    if process.returncode != 0:
        raise subprocess.CalledProcessError(process.returncode, command, output)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    processor_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return Usage(output, wall_s, processor_s, own.ru_maxrss / 1024.0)
