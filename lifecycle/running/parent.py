"""How a child notices that its parent has gone.

The parent alone holds the other end of the child's stdin. When that closes, the parent is gone,
however it died, and the child ends too, on every operating system.
"""

import os
import signal
import sys
import threading
import time

GRACE_S = 8.0


def watch_parent() -> None:
    """End this process once the parent has gone: politely first, then at once."""

    def wait_for_the_end() -> None:
        while os.read(0, 1024):
            pass
        if sys.platform != "win32":
            # To the main thread itself: a signal to the process may be taken by another one.
            signal.pthread_kill(threading.main_thread().ident or 0, signal.SIGTERM)
            time.sleep(GRACE_S)
        os._exit(1)

    threading.Thread(target=wait_for_the_end, daemon=True, name="parent").start()
