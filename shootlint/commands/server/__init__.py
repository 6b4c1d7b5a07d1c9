"""The editor's language server. Only the modules of messages know of the protocol: protocol, requests, answers, serving."""
