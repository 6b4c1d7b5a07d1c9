"""The command line, one short file a command: its name is the command's, its first line of text is its help."""
