#!/usr/bin/env python3
"""Two builds of the program on the same command, turn by turn.

    python3 tests/bench/beside.py OLD NEW -- certify visit.yaml --force

Other work on the machine slows both alike when they take turns. Prints the median processor time
of the whole process, what the system took of it, and the pages of memory that it handed out. A
benchmark, not a test: nothing here passes or fails.
"""

import resource
import statistics
import subprocess
import sys

RUNS = 25


def run(command):
    """Processor milliseconds, those of them spent in the system, and page faults."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    user, system = after.ru_utime - before.ru_utime, after.ru_stime - before.ru_stime
    return 1000 * (user + system), 1000 * system, after.ru_minflt - before.ru_minflt


def main():
    at = sys.argv.index("--")
    programs, arguments = sys.argv[1:at], sys.argv[at + 1 :]
    told = {program: [] for program in programs}
    for _ in range(RUNS):
        for program in programs:
            told[program].append(run([program, *arguments]))
    print(f"{'cpu ms':>9}{'system':>9}{'faults':>9}")
    for program in programs:
        cpu, system, faults = (statistics.median(column) for column in zip(*told[program]))
        print(f"{cpu:9.1f}{system:9.1f}{faults:9.0f}  {program}")


if __name__ == "__main__":
    main()
