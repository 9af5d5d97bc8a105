"""The one command: sets everything up, then opens gardenwater on its sample site, or passes the tests.

    python3 packaging/start.py          opens the sample; without a screen it assesses it and says where the results are
    python3 packaging/start.py test     passes the tests
    python3 packaging/start.py FILE     opens a site of your own

Standard library only, and written so that an old Python still reads it and can say what it needs.
"""

import ctypes.util
import hashlib
import os
import shutil
import subprocess
import sys
import time

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
VENV = os.environ.get("GARDENWATER_VENV") or os.path.join(ROOT, ".venv")
NEEDS_PYTHON = (3, 11)
NEWEST_TRIED = 14
WINDOWS = sys.platform == "win32"
LINUX = sys.platform.startswith("linux")
PYTHON = os.path.join(VENV, "Scripts" if WINDOWS else "bin", "python.exe" if WINDOWS else "python")
SAMPLE = os.path.join(ROOT, "sample_sites", "quillet-bank.gpkg")

# library to look for, and the Debian package that brings it: what Qt needs to start at all, and for a real X window
QT_LIBRARIES = [
    ("GL", "libgl1"),
    ("EGL", "libegl1"),
    ("glib-2.0", "libglib2.0-0"),
    ("dbus-1", "libdbus-1-3"),
    ("fontconfig", "libfontconfig1"),
    ("xkbcommon", "libxkbcommon0"),
]
X_LIBRARIES = [
    ("xcb-cursor", "libxcb-cursor0"),
    ("xcb-icccm", "libxcb-icccm4"),
    ("xcb-keysyms", "libxcb-keysyms1"),
    ("xcb-shape", "libxcb-shape0"),
    ("xkbcommon-x11", "libxkbcommon-x11-0"),
]


class SetupError(Exception):
    """What went wrong and its mend, in one line."""


def say(words):
    print("gardenwater: " + words, flush=True)


def newer_python():
    """The newest Python on the path that is new enough, or None."""
    for minor in range(NEWEST_TRIED, NEEDS_PYTHON[1] - 1, -1):
        found = shutil.which("python3.%d" % minor)
        # a version manager's stand-in is on the path for Pythons that do not run
        if found and subprocess.call([found, "-c", ""], stderr=subprocess.DEVNULL) == 0:
            return found
    return None


def need_python():
    """Go on with a newer Python when this one is too old."""
    if sys.version_info[:2] >= NEEDS_PYTHON:
        return
    found = newer_python()
    if not found:
        raise SetupError(
            "Python %d.%d is too old. Install Python %d.%d or newer, then run this again with it."
            % (sys.version_info[:2] + NEEDS_PYTHON)
        )
    say("Python %d.%d is too old; going on with %s." % ((*sys.version_info[:2], found)))
    sys.exit(subprocess.call([found, *sys.argv]))


def is_root():
    return hasattr(os, "geteuid") and os.geteuid() == 0


def apt_install(packages, why):
    """Install Debian packages as root, or name them."""
    command = ["apt-get", "install", "-y", "--no-install-recommends", *packages]
    if not shutil.which("apt-get"):
        raise SetupError("%s. Install what brings: %s." % (why, ", ".join(packages)))
    if not is_root():
        raise SetupError("%s. Run: sudo apt-get update && sudo %s" % (why, " ".join(command)))
    say("installing %d system packages: %s" % (len(packages), " ".join(packages)))
    env = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
    for step in (["apt-get", "update", "-qq"], [*command[:1], "-qq", *command[1:]]):
        done = subprocess.run(step, env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        if done.returncode:
            last = done.stdout.decode("utf-8", "replace").strip().splitlines()[-1:]
            raise SetupError(
                "apt-get could not install %s: %s. Check the network and run this again."
                % (" ".join(packages), " ".join(last))
            )


def missing_libraries(libraries):
    return [package for name, package in libraries if not ctypes.util.find_library(name)]


def has_screen():
    return not LINUX or bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def need_libraries(with_window):
    """The system libraries of Qt: looked for, then installed or named. Only Linux lacks any."""
    if not LINUX:
        return
    missing = missing_libraries(QT_LIBRARIES + (X_LIBRARIES if with_window else []))
    if missing:
        apt_install(missing, "Qt needs %d system libraries that are not here" % len(missing))


def digest(lock):
    """What the environment was made from; a change of any of it makes it anew."""
    sha = hashlib.sha256(("%s %s" % (sys.version, ROOT)).encode())
    for path in (lock, os.path.join(ROOT, "pyproject.toml")):
        with open(path, "rb") as file:
            sha.update(file.read())
    return sha.hexdigest()


def stamps():
    """The digests that the environment already satisfies."""
    try:
        with open(os.path.join(VENV, "made-from.txt")) as file:
            return file.read().split()
    except OSError:
        return []


def run_pip(arguments, what):
    """Run pip in the environment, telling what it is at; its last words when it fails."""
    command = [PYTHON, "-m", "pip", "--disable-pip-version-check", "--no-input", *arguments]
    begun = time.time()
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, cwd=ROOT)
    lines = []
    for raw in process.stdout:
        lines.append(raw.decode("utf-8", "replace").rstrip())
        tell(lines[-1])
    if sys.stdout.isatty():
        print("\r" + " " * 78 + "\r", end="")
    if process.wait():
        raise SetupError("%s failed: %s" % (what, pip_trouble(lines)))
    say("%s: done in %.0f s" % (what, time.time() - begun))


def tell(line):
    """One line of pip's that says it goes on: over the last one on a terminal, else only what takes long."""
    words = line.strip().split(" (from")[0][:74]
    if sys.stdout.isatty() and words.startswith(("Collecting", "Downloading", "Using cached", "Installing")):
        print("\r  %-76s" % words, end="", flush=True)
    elif " MB)" in line and words.startswith("Downloading"):
        print("  " + words, flush=True)


def pip_trouble(lines):
    """One line from pip's many: what went wrong and the mend."""
    text = "\n".join(lines)
    if "No space left" in text:
        return "the disk is full. Free 1.5 GB and run this again."
    network = (
        "NewConnectionError",
        "ConnectTimeout",
        "ReadTimeout",
        "Temporary failure",
        "ProxyError",
        "getaddrinfo",
        "SSLError",
        "Connection broken",
        "ConnectionReset",
        "No route to host",
        "Network is unreachable",
    )
    if any(word in text for word in network):
        return "the package index could not be reached. Check the network or proxy, then run this again."
    if "from versions: none" in text:
        return (
            "no package fits this Python (%s) and system, or the package index could not be reached."
            % sys.version.split()[0]
        )
    errors = [line for line in lines if "error:" in line.lower()] or [line for line in lines if "rror" in line]
    return (errors or lines or ["no words from pip"])[-1].strip(" ×╰─>")


def refuse_folder_of_others():
    """Making an environment empties its folder first: one that holds anything else is left alone."""
    if os.path.isdir(VENV) and os.listdir(VENV) and not os.path.exists(os.path.join(VENV, "pyvenv.cfg")):
        raise SetupError(
            "%s holds files that are not of a virtual environment. Set GARDENWATER_VENV to a folder of its own." % VENV
        )


def make_environment():
    """A virtual environment with pip in it."""
    if (
        os.path.exists(PYTHON)
        and subprocess.call([PYTHON, "-m", "pip", "--version"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        == 0
    ):
        return
    refuse_folder_of_others()
    say("making a virtual environment in %s" % VENV)
    for attempt in (1, 2):
        done = subprocess.run(
            [sys.executable, "-m", "venv", "--clear", VENV], stdout=subprocess.PIPE, stderr=subprocess.STDOUT
        )
        if done.returncode == 0:
            return
        words = done.stdout.decode("utf-8", "replace")
        if attempt == 1 and "ensurepip" in words:
            apt_install(["python3-venv"], "This Python cannot make a virtual environment")
            continue
        if "Permission denied" in words or "Read-only" in words:
            raise SetupError(
                "%s cannot be written. Move the project to a folder of yours, or set GARDENWATER_VENV to one." % VENV
            )
        raise SetupError(
            "the virtual environment could not be made: %s" % (words.strip().splitlines() or ["no words"])[-1]
        )


def install(for_tests):
    """Everything from the lock file, by its hashes; nothing to do when it was done before."""
    lock = os.path.join(ROOT, "packaging", "lock-test.txt" if for_tests else "lock.txt")
    stamp = digest(lock)
    if stamp in stamps() and os.path.exists(PYTHON):
        return
    make_environment()
    say("installing the packages (about 800 MB on disk, once)")
    run_pip(["install", "--require-hashes", "--only-binary", ":all:", "-r", lock], "packages")
    run_pip(["install", "--no-deps", "--no-build-isolation", "--no-index", "-e", ROOT], "gardenwater")
    with open(os.path.join(VENV, "made-from.txt"), "a") as file:
        file.write(stamp + "\n")


def child_environment():
    """The user's environment, less what breaks the program's own libraries."""
    env = dict(os.environ)
    for name in ("PYTHONPATH", "PYTHONHOME", "PROJ_DATA", "PROJ_LIB", "GDAL_DATA"):
        env.pop(name, None)
    return env


def run_tests(arguments):
    env = child_environment()
    env.setdefault("QT_QPA_PLATFORM", "offscreen")
    return subprocess.call([PYTHON, "-m", "pytest", *arguments], cwd=ROOT, env=env)


def assess_sample(site):
    results = os.path.join(ROOT, "results")
    say("no screen here: assessing %s instead" % os.path.basename(site))
    return subprocess.call([PYTHON, "-m", "gardenwater", "assess", site, "--to", results], env=child_environment())


def open_window(site):
    """The window; where Qt cannot reach the screen after all, the assessment."""
    begun = time.time()
    code = subprocess.call([PYTHON, "-m", "gardenwater", site], env=child_environment())
    if code not in (0, 2, 3, 4) and time.time() - begun < 20:
        say("the window could not be opened (exit status %d)" % code)
        return assess_sample(site)
    return code


def main(arguments):
    need_python()
    if arguments[:1] in (["-h"], ["--help"]):
        print(__doc__)
        return 0
    for_tests = arguments[:1] == ["test"]
    site = arguments[0] if arguments and not for_tests else SAMPLE
    if not for_tests and not os.path.exists(site):
        raise SetupError("there is no file %r. Give the path of a site, or nothing for the sample." % site)
    if for_tests or has_screen():
        need_libraries(with_window=not for_tests)
    install(for_tests)
    if for_tests:
        return run_tests(arguments[1:])
    return open_window(site) if has_screen() else assess_sample(site)


if __name__ == "__main__":
    try:
        sys.exit(main(sys.argv[1:]))
    except SetupError as stop:
        print("gardenwater: %s" % stop, file=sys.stderr)
        sys.exit(3)
    except KeyboardInterrupt:
        print("\ngardenwater: stopped. Run it again to go on.", file=sys.stderr)
        sys.exit(4)
