"""Windows only: a job object holds a worker to its memory and ends it when the shop's process ends."""

from __future__ import annotations

import ctypes
import subprocess
import sys
from typing import Any

_EXTENDED_LIMITS = 9  # JobObjectExtendedLimitInformation
_LIMIT_PROCESS_MEMORY = 0x00000100
_LIMIT_DIE_ON_UNHANDLED_EXCEPTION = 0x00000400
_LIMIT_KILL_ON_JOB_CLOSE = 0x00002000
_START_MB = 400  # what a worker holds before it opens a file


class _BasicLimits(ctypes.Structure):
    """JOBOBJECT_BASIC_LIMIT_INFORMATION (winnt.h)."""

    _fields_ = (
        ("PerProcessUserTimeLimit", ctypes.c_int64),
        ("PerJobUserTimeLimit", ctypes.c_int64),
        ("LimitFlags", ctypes.c_uint32),
        ("MinimumWorkingSetSize", ctypes.c_size_t),
        ("MaximumWorkingSetSize", ctypes.c_size_t),
        ("ActiveProcessLimit", ctypes.c_uint32),
        ("Affinity", ctypes.c_size_t),
        ("PriorityClass", ctypes.c_uint32),
        ("SchedulingClass", ctypes.c_uint32),
    )


class _ExtendedLimits(ctypes.Structure):
    """JOBOBJECT_EXTENDED_LIMIT_INFORMATION (winnt.h)."""

    _fields_ = (
        ("BasicLimitInformation", _BasicLimits),
        ("IoInfo", ctypes.c_uint64 * 6),
        ("ProcessMemoryLimit", ctypes.c_size_t),
        ("JobMemoryLimit", ctypes.c_size_t),
        ("PeakProcessMemoryUsed", ctypes.c_size_t),
        ("PeakJobMemoryUsed", ctypes.c_size_t),
    )


def hold(process: subprocess.Popen[bytes], memory_mb: int) -> int | None:
    """Put a process into a job object of its own; its handle, or None (not Windows, or refused)."""
    if sys.platform != "win32":
        return None
    kernel: Any = ctypes.WinDLL("kernel32", use_last_error=True)
    kernel.CreateJobObjectW.restype = ctypes.c_void_p
    job: int | None = kernel.CreateJobObjectW(None, None)
    if not job:
        return None
    limits = _ExtendedLimits()
    limits.BasicLimitInformation.LimitFlags = (
        _LIMIT_PROCESS_MEMORY | _LIMIT_DIE_ON_UNHANDLED_EXCEPTION | _LIMIT_KILL_ON_JOB_CLOSE
    )
    limits.ProcessMemoryLimit = (memory_mb + _START_MB) << 20
    handle = ctypes.c_void_p(int(process._handle))
    kernel.SetInformationJobObject(
        ctypes.c_void_p(job), _EXTENDED_LIMITS, ctypes.byref(limits), ctypes.sizeof(limits)
    )
    kernel.AssignProcessToJobObject(ctypes.c_void_p(job), handle)
    return job


def release(job: int | None) -> None:
    """Close a job object; what still runs in it ends."""
    if job is not None and sys.platform == "win32":
        ctypes.WinDLL("kernel32").CloseHandle(ctypes.c_void_p(job))
