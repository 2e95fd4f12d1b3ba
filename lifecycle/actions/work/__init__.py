"""Background work and mail: rows written with what caused them, and the messages that wake.

Other actions need two of these: ``ask`` for a piece of work, ``tell`` for an immediate mail.
"""

from lifecycle.actions.work.messages import tell
from lifecycle.actions.work.rows import ask

__all__ = ["ask", "tell"]
