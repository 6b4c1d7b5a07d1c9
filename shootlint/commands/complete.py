"""Prints what makes a shell complete commands, options and names when the tab key is pressed."""

from __future__ import annotations

import argparse

SHELLS = ("bash", "zsh", "fish")
SET_UP = """to set it up, add a line to what your shell reads when it starts:
  bash  eval "$(shootlint complete bash)"     in ~/.bashrc
  zsh   eval "$(shootlint complete zsh)"      in ~/.zshrc, after compinit
  fish  shootlint complete fish | source      in ~/.config/fish/config.fish"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("shell", choices=SHELLS, metavar="SHELL", help="bash, zsh or fish")
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.epilog = SET_UP


def run(call: argparse.Namespace) -> int:
    from argcomplete.shell_integration import shellcode

    from shootlint.commands import output

    output.write("-", shellcode(["shootlint"], shell=call.shell))
    return 0
