"""Serving one client from its first message to its last."""

from __future__ import annotations

import logging
from typing import BinaryIO

from shootlint.commands.server.protocol import Refusal, Server
from shootlint.commands.server.requests import register


def serve(stdin: BinaryIO, stdout: BinaryIO) -> int:
    """Serves one client until it says goodbye or is gone; returns the exit status that the protocol asks for."""
    server = Server()
    register(server)
    logging.getLogger("pygls.protocol.json_rpc").addFilter(_is_no_refusal)
    server.start_io(stdin, stdout)
    server.worker.shutdown(wait=False, cancel_futures=True)
    return 0 if server.protocol._shutdown else 1


def _is_no_refusal(record: logging.LogRecord) -> bool:
    """Keeps what the user is told anyway out of the log on standard error."""
    return not (record.exc_info and isinstance(record.exc_info[1], Refusal))
