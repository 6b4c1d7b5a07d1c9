"""Pictures of pages, for eyes: on a phone and on a desk, light and dark, and on paper.

    python -m tests.browsing PLAN_OR_PAGE... --to FOLDER

Of a plan (`*.shoot`) its field sheet is shown; any other file is taken for a page. The check that nothing is wrong with
them (`checks.py`) is asked too, and what it finds is printed.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from .checks import PAPERS, as_pdf, faults
from .chromium import DESKTOP, PROGRAMS, Chromium

PHONE = 390
VIEWS = {
    "phone": {"width": PHONE, "height": 844},
    "phone-dark": {"width": PHONE, "height": 844, "dark": True},
    "desktop": {"width": DESKTOP},
    "desktop-dark": {"width": DESKTOP, "dark": True},
}
DOTS_AN_INCH = 100


def pictures(chromium: Chromium, page: Path, folder: Path, name: str) -> list[Path]:
    """Writes the pictures of one page: NAME-phone.png and so on, and NAME-A4-1.png for its first sheet of paper."""
    for view, how in VIEWS.items():
        target = folder / f"{name}-{view}.png"
        target.write_bytes(chromium.look(page, lambda opened, _: opened.screenshot(full_page=True), **how))
    for paper in PAPERS:
        pdf = folder / f"{name}-{paper}.pdf"
        pdf.write_bytes(as_pdf(chromium, page, paper))
        subprocess.run(["pdftoppm", "-png", "-r", str(DOTS_AN_INCH), pdf, pdf.with_suffix("")], check=True)
    return sorted(folder.glob(f"{name}-*"))


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.browsing", description="Takes pictures of pages.")
    parser.add_argument("files", nargs="+", type=Path, metavar="PLAN_OR_PAGE")
    parser.add_argument("--to", type=Path, required=True, metavar="FOLDER")
    call = parser.parse_args()
    missing = [program for program in PROGRAMS if shutil.which(program) is None]
    if missing:
        parser.error(f"{', '.join(missing)} missing (Debian: chromium, poppler-utils)")
    call.to.mkdir(parents=True, exist_ok=True)
    chromium = Chromium()
    try:
        with TemporaryDirectory() as made:
            for file in call.files:
                page = file
                if file.suffix == ".shoot":
                    page = Path(made) / f"{file.stem}.html"
                    command = [sys.executable, "-m", "shootlint.commands.main", "sheet", str(file), "--to", str(page)]
                    subprocess.run(command, check=True)
                for each in pictures(chromium, page, call.to, file.stem):
                    print(each)
                for fault in faults(chromium, page):
                    print(f"{file}: {fault}")
    finally:
        chromium.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
