"""Children that do not outlive whoever started them."""

import ctypes
import os
import signal
import sys

_PR_SET_PDEATHSIG = 1  # linux/prctl.h


def die_with_parent(number: signal.Signals) -> None:
    """Called in a fresh child: the kernel sends it this signal when its parent ends, however that ends.

    Linux only; elsewhere nothing happens, and a child may outlive a killed parent.
    """
    if not sys.platform.startswith("linux"):
        return
    parent = os.getppid()
    ctypes.CDLL(None, use_errno=True).prctl(_PR_SET_PDEATHSIG, int(number), 0, 0, 0)
    if os.getppid() != parent:  # it ended before the kernel was told
        os.kill(os.getpid(), number)
