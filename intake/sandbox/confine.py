"""What a worker gives up before it opens a stranger's file, by the means of the system that it runs on.

Linux: memory (RLIMIT_DATA: RLIMIT_AS would stop imports), processor time a job, core files, the network (a
seccomp filter), and life beyond its parent's. macOS: processor time, core files, the network. Windows: the
parent puts it into a job object instead (`jobobject.py`), the network stays. On all of them the pool watches
wall time and memory from outside too (`pool.py`).
"""

from __future__ import annotations

import contextlib
import ctypes
import math
import os
import signal
import struct
import sys
import time
from pathlib import Path

_PR_SET_PDEATHSIG = 1
_PR_SET_NO_NEW_PRIVS = 38
_PR_SET_SECCOMP = 22
_SECCOMP_MODE_FILTER = 2

# Numbers of the system calls socket, connect and io_uring_setup (which can do both), by machine
# (linux/audit.h and the kernel's tables).
_AUDIT_ARCH = {"x86_64": (0xC000003E, (41, 42, 425)), "aarch64": (0xC00000B7, (198, 203, 425))}
_X32_CALLS = 0x40000000
_EPERM = 1
_USUAL_START_MB = 300


def die_with_parent(parent_pid: int) -> None:
    """Ask Linux to kill this process when its parent's thread ends. Elsewhere the closed pipe ends it."""
    if sys.platform != "linux":
        return
    _prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
    if os.getppid() != parent_pid:  # it was gone before we could ask
        os._exit(0)


def limit_memory(memory_mb: int) -> bool:
    """Let this process take at most `memory_mb` beyond what it holds now; False where that can't be had."""
    if sys.platform != "linux":
        return False
    import resource

    _, hard = resource.getrlimit(resource.RLIMIT_DATA)
    limit = _data_bytes() + (memory_mb << 20)
    if hard != resource.RLIM_INFINITY:
        limit = min(limit, hard)
    resource.setrlimit(resource.RLIMIT_DATA, (limit, limit))
    return True


def write_no_core() -> None:
    """A crash leaves no core file behind."""
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def allow_cpu(seconds: int) -> None:
    """Allow this process `seconds` more of processor time from now on (SIGXCPU ends it after that)."""
    if sys.platform == "win32":
        return
    import resource

    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    wanted = math.ceil(time.process_time()) + seconds
    soft = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
    resource.setrlimit(resource.RLIMIT_CPU, (soft, hard))


def drop_network() -> bool:
    """Take the network away from this process for good; False where that needs privileges or can't be had."""
    try:
        if sys.platform == "linux":
            return _filter_calls()
        if sys.platform == "darwin":
            message = ctypes.c_char_p()
            named = 1  # the profile is one of the system's own names (sandbox.h: kSBXProfileNoNetwork)
            return ctypes.CDLL(None).sandbox_init(b"no-network", named, ctypes.byref(message)) == 0
    except (OSError, AttributeError):
        return False
    return False


def _data_bytes() -> int:
    """Private memory that this process holds, as RLIMIT_DATA counts it; a guess where /proc is not there."""
    with contextlib.suppress(OSError):
        for line in Path("/proc/self/status").read_text("ascii", "replace").splitlines():
            if line.startswith("VmData:"):
                return int(line.split()[1]) << 10
    return _USUAL_START_MB << 20


def _filter_calls() -> bool:
    """A seccomp filter: the calls named above fail with EPERM, as do calls in another machine's numbering."""
    if os.uname().machine not in _AUDIT_ARCH:
        return False
    arch, calls = _AUDIT_ARCH[os.uname().machine]
    program = [(0x20, 0, 0, 4), (0x15, 1, 0, arch), (0x06, 0, 0, 0x00050000 | _EPERM), (0x20, 0, 0, 0)]
    for k, call in enumerate(calls):
        program.append((0x15, len(calls) - k, 0, call))  # to the refusal
    program.append((0x35, 0, 1, _X32_CALLS))
    program += [(0x06, 0, 0, 0x00050000 | _EPERM), (0x06, 0, 0, 0x7FFF0000)]
    code = b"".join(struct.pack("HBBI", *step) for step in program)
    held = ctypes.create_string_buffer(code, len(code))
    described = ctypes.create_string_buffer(struct.pack("HP", len(program), ctypes.addressof(held)))
    if _prctl(_PR_SET_NO_NEW_PRIVS, 1) != 0:
        return False
    return _prctl(_PR_SET_SECCOMP, _SECCOMP_MODE_FILTER, ctypes.addressof(described)) == 0


def _prctl(option: int, second: int, third: int = 0) -> int:
    prctl = ctypes.CDLL(None, use_errno=True).prctl
    prctl.argtypes = [ctypes.c_int] + [ctypes.c_ulong] * 4
    return int(prctl(option, second, third, 0, 0))
