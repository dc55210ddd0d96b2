"""What the checks of one script came to. Prints each that failed, and at the end "N passed, N failed"."""

import subprocess
import sys

passed = failed = 0


def expect(what, holds, told=""):
    global passed, failed
    if holds:
        passed += 1
    else:
        failed += 1
        print(f"FAILED {what}: {told}")


def run(*command, env=None):
    """Exit code, and standard output with what was said on standard error behind it."""
    done = subprocess.run([str(c) for c in command], capture_output=True, text=True, env=env)
    return done.returncode, done.stdout + done.stderr


def close():
    """Ends the script: with 1 when a check failed."""
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed else 0)
